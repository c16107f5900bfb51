// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/roll/analysis.hpp"

namespace basefog::print {

/// A card of bank card size for the camera bag, as SVG: what to dial and what to allow for, and for
/// which film and dates that holds.
void write_pocket_card(std::ostream& out, const roll::Analysis& analysis);
/// The same card as PDF, in the system's serif font, which is embedded.
void write_pocket_card_pdf(std::ostream& out, const roll::Analysis& analysis);

}  // namespace basefog::print

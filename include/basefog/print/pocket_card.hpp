// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/roll/analysis.hpp"

namespace basefog::print {

/// A card of bank card size for the camera bag: what to dial and what to allow for, and for which
/// film and dates that holds. In the system's serif font, which PDF embeds; SVG has its letters as
/// outlines and the words as its description. The same bytes for the same roll and fonts.
void write_pocket_card_pdf(std::ostream& out, const roll::Analysis& analysis);
void write_pocket_card_svg(std::ostream& out, const roll::Analysis& analysis);

}  // namespace basefog::print

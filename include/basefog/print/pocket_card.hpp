// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <string>

#include "basefog/roll/analysis.hpp"
#include "basefog/roll/camera_review.hpp"

namespace basefog::print {

/// What stands on a card of bank card size for the camera bag: the plan for the next roll, and what
/// it holds for.
struct PocketCard {
  std::string camera;   ///< may be empty
  std::string film;     ///< with its speed
  std::string dates;    ///< when the pictures were taken that it was learned from; may be empty
  plan::NextRoll plan;  ///< what the card says
};

/// The card of a reviewed roll, which must have a plan.
PocketCard card_of(const roll::Analysis& analysis);
/// The card of all remembered rolls of a camera, which must have a plan.
PocketCard card_of(const roll::CameraReview& camera);

/// In the system's serif font, which PDF embeds; SVG has its letters as outlines and the words as
/// its description. The same bytes for the same card and fonts. Throws std::runtime_error where it
/// cannot be drawn.
void write_pocket_card_pdf(std::ostream& out, const PocketCard& card);
/// The same as SVG, for a web page or another printer.
void write_pocket_card_svg(std::ostream& out, const PocketCard& card);

}  // namespace basefog::print

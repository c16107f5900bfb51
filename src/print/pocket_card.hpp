// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

// The pocket card as plain data, which SVG and PDF are printed from. Millimetres, from the upper
// left corner.
namespace basefog::print {

/// The size of a bank card, ID-1 of [ISO7810].
inline constexpr double kCardWidth = 85.6;
inline constexpr double kCardHeight = 53.98;
inline constexpr double kCardCorner = 3;  ///< radius

struct CardText {
  double x = 0;  ///< of the left end, or the right one
  double y = 0;  ///< of the line that letters stand on
  double size = 3.6;
  bool from_right = false;  ///< ends at x
  bool soft = false;        ///< in grey
  std::string text;         ///< UTF-8, printable, not escaped
};

/// Everything that stands on the card.
std::vector<CardText> pocket_card(const roll::Analysis& analysis);

}  // namespace basefog::print

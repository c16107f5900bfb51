// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <string>

#include "basefog/roll/analysis.hpp"

namespace basefog::page {

/// One self-contained page: nothing is loaded from anywhere, and it reads without its script.
/// index: the address of the page that lists this roll among others; empty without.
void write_html(std::ostream& out, const roll::Analysis& analysis, const std::string& index = "");

/// The roll as one row of small straight prints for such a page: a data address, or nothing where
/// none can be made.
struct PictureStrip {
  std::string source;  ///< a data address; empty where there is none
  int width = 0;       ///< pixels
  int height = 0;      ///< pixels
};
/// That of a reviewed roll.
PictureStrip picture_strip(const roll::Analysis& analysis);

}  // namespace basefog::page

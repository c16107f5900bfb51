// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/even_density.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::area {

double even_density(const FilmLayout& layout, double light, int channel, double x, double y) {
  const double own = layout.stray.corrected(light, channel, x, y);
  return -std::log10(std::max(own, kLeastLight)) - layout.fall_off.at(x, y);
}

}  // namespace basefog::area

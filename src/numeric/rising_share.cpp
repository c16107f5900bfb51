// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/rising_share.hpp"

#include <algorithm>
#include <cstddef>

namespace basefog::numeric {

double rising_share(std::span<const double> x, std::span<const double> y) {
  if (x.empty()) return 1;
  const auto [least, most] = std::ranges::minmax(x);
  const double far = (most - least) / 8;
  int pairs = 0;
  int rising = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    for (std::size_t j = 0; j < x.size(); ++j) {
      if (!(x[j] - x[i] > far)) continue;
      ++pairs;
      rising += y[j] > y[i] ? 1 : 0;
    }
  }
  return pairs == 0 ? 1 : static_cast<double>(rising) / pairs;
}

}  // namespace basefog::numeric

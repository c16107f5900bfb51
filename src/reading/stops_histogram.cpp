// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/stops_histogram.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::reading {

StopsHistogram stops_histogram(const FilmExposures& exposures, double aim) {
  StopsHistogram histogram;
  histogram.speed_point = Stops(-aim);
  histogram.highlight_limit = Stops(exposures.highlight_limit - aim);
  const double width = histogram.width.value();
  const auto bin_of = [&](double stops) {
    return static_cast<int>(std::floor((stops - aim) / width));
  };
  const auto [least, most] = std::minmax_element(exposures.stops.begin(), exposures.stops.end());
  const int first = bin_of(*least);
  histogram.first = Stops(first * width);
  std::vector<std::size_t> counts(static_cast<std::size_t>(bin_of(*most) - first) + 1, 0);
  for (double stops : exposures.stops) ++counts[static_cast<std::size_t>(bin_of(stops) - first)];
  for (std::size_t count : counts) {
    histogram.share.push_back(static_cast<float>(static_cast<double>(count) /
                                                 static_cast<double>(exposures.stops.size())));
  }
  return histogram;
}

}  // namespace basefog::reading

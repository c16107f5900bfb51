// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/stops_histogram.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::reading {

StopsHistogram stops_histogram(const FilmExposures& exposures, ExposureAboveSpeedPoint aim) {
  StopsHistogram histogram;
  histogram.speed_point = from_aim(ExposureAboveSpeedPoint(), aim);
  histogram.highlight_limit = from_aim(ExposureAboveSpeedPoint(exposures.highlight_limit), aim);
  const double width = histogram.width.value();
  const auto bin_of = [&](double above_speed) {
    return static_cast<int>(std::floor((above_speed - aim.value()) / width));
  };
  const auto [least, most] =
      std::minmax_element(exposures.above_speed.begin(), exposures.above_speed.end());
  const int first = bin_of(*least);
  histogram.first = ExposureFromAim(first * width);
  std::vector<std::size_t> counts(static_cast<std::size_t>(bin_of(*most) - first) + 1, 0);
  for (double x : exposures.above_speed) ++counts[static_cast<std::size_t>(bin_of(x) - first)];
  for (std::size_t count : counts) {
    histogram.share.push_back(static_cast<float>(
        static_cast<double>(count) / static_cast<double>(exposures.above_speed.size())));
  }
  return histogram;
}

}  // namespace basefog::reading

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/roll_trend.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace basefog::roll {
namespace {

/// Of fewer values Kendall's interval spans nearly two thirds of the slopes (judgement).
constexpr std::size_t kLeastFrames = 8;

std::vector<PlacedStops> placed(const Analysis& analysis, bool deviations) {
  // Along the film, which may have been scanned backwards.
  std::vector<std::size_t> order(analysis.frames.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  if (analysis.matching && analysis.matching->film_order.size() == order.size()) {
    order = analysis.matching->film_order;
  }
  std::vector<PlacedStops> values;
  for (std::size_t i = 0; i < order.size(); ++i) {
    const FrameResult& frame = analysis.frames[order[i]];
    std::optional<StopsEstimate> estimate;
    if (deviations && frame.deviation && !frame.flags.contains(Flag::match_doubtful)) {
      estimate = frame.deviation;
    }
    if (!deviations && frame.reading) estimate = in_stops(frame.reading->exposure.estimate);
    if (!estimate || !estimate->two_sided()) continue;
    values.push_back({static_cast<double>(i), estimate->value.value()});
  }
  return values;
}

}  // namespace

bool RollTrend::certain() const {
  return (change.low && *change.low > Stops(0)) || (change.high && *change.high < Stops(0));
}

std::optional<StopsEstimate> change_along(std::span<const PlacedStops> values) {
  const std::size_t n = values.size();
  if (n < kLeastFrames) return std::nullopt;
  std::vector<double> slopes;
  slopes.reserve(n * (n - 1) / 2);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = i + 1; k < n; ++k) {
      const double distance = values[k].place - values[i].place;
      if (distance != 0) slopes.push_back((values[k].stops - values[i].stops) / distance);
    }
  }
  if (slopes.empty()) return std::nullopt;
  std::sort(slopes.begin(), slopes.end());
  const auto [first, last] = std::minmax_element(
      values.begin(), values.end(),
      [](const PlacedStops& a, const PlacedStops& b) { return a.place < b.place; });
  const double length = last->place - first->place;
  // Kendall's S has this standard deviation where there is no trend and no ties.
  const double count = static_cast<double>(n);
  const double spread = kNormal975 * std::sqrt(count * (count - 1) * (2 * count + 5) / 18);
  const double pairs = static_cast<double>(slopes.size());
  const auto at = [&](double rank) {
    const double place = std::clamp(std::round(rank), 0.0, pairs - 1);
    return Stops(slopes[static_cast<std::size_t>(place)] * length);
  };
  const std::size_t half = slopes.size() / 2;
  const double median =
      slopes.size() % 2 == 1 ? slopes[half] : (slopes[half - 1] + slopes[half]) / 2;
  // Ranks from 1 in [Sen1968]: (N - C)/2 and (N + C)/2 + 1.
  return StopsEstimate{Stops(median * length), at((pairs - spread) / 2 - 1),
                       at((pairs + spread) / 2)};
}

std::optional<RollTrend> roll_trend(const Analysis& analysis) {
  std::vector<PlacedStops> values = placed(analysis, true);
  const bool of_deviation = values.size() >= kLeastFrames;
  if (!of_deviation) values = placed(analysis, false);
  const std::optional<StopsEstimate> change = change_along(values);
  if (!change) return std::nullopt;
  return RollTrend{*change, static_cast<int>(values.size()), of_deviation};
}

}  // namespace basefog::roll

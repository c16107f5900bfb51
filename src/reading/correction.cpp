// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/correction.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace basefog::reading {
namespace {

/// A correction of so much counts as strongly under or over, stops (judgement).
constexpr double kStrongly = 1.5;

/// A change of exposure and what it costs.
struct Change {
  double stops;
  double cost;
};

/// The costs at every change that brings an aperture just onto the film, at either end, and at the
/// one that brings the metered mean to the aim, `to_aim`. Of equal apertures all entries but one
/// have too high a cost, and are never the best.
std::vector<Change> costs_of_changes(std::span<const double> above_speed, double limit,
                                     double to_aim) {
  const std::size_t count = above_speed.size();
  std::vector<Change> changes;
  changes.reserve(2 * count + 1);
  const auto add = [&](double c, std::size_t lost) {
    changes.push_back({c, static_cast<double>(lost) / static_cast<double>(count) +
                              kAimWeight * (c - to_aim) * (c - to_aim)});
  };
  const auto low =
      std::lower_bound(above_speed.begin(), above_speed.end(), -to_aim) - above_speed.begin();
  const auto high =
      above_speed.end() - std::upper_bound(above_speed.begin(), above_speed.end(), limit - to_aim);
  add(to_aim, static_cast<std::size_t>(low + high));
  std::size_t beyond = 0;  // the first aperture above the limit when number i is at the speed point
  std::size_t within = 0;  // the first one on the film when number i is at the limit
  for (std::size_t i = 0; i < count; ++i) {
    while (beyond < count && above_speed[beyond] <= above_speed[i] + limit) ++beyond;
    while (above_speed[within] < above_speed[i] - limit) ++within;
    add(-above_speed[i], i + (count - beyond));
    add(limit - above_speed[i], within + (count - 1 - i));
  }
  return changes;
}

}  // namespace

CorrectionChoice best_correction(std::span<const double> above_speed, double limit,
                                 ExposureFromAim exposure) {
  const double to_aim = -exposure.value();
  const std::vector<Change> changes = costs_of_changes(above_speed, std::max(limit, 0.0), to_aim);
  const auto better = [to_aim](const Change& a, const Change& b) {
    if (a.cost != b.cost) return a.cost < b.cost;
    return std::abs(a.stops - to_aim) < std::abs(b.stops - to_aim);
  };
  const Change best = *std::min_element(changes.begin(), changes.end(), better);
  return {best.stops, best.cost};
}

double least_loss(std::span<const double> above_speed, double limit) {
  // Most apertures that fit on a film of this range: two ends walk up together.
  limit = std::max(limit, 0.0);
  std::size_t most = 0;
  std::size_t first = 0;
  for (std::size_t last = 0; last < above_speed.size(); ++last) {
    while (above_speed[last] - above_speed[first] > limit) ++first;
    most = std::max(most, last - first + 1);
  }
  return 1 - static_cast<double>(most) / static_cast<double>(above_speed.size());
}

Verdict verdict_of(Stops correction) {
  const double c = correction.value();
  if (c >= kStrongly) return Verdict::strongly_under;
  if (c >= kWellExposed) return Verdict::under;
  if (c <= -kStrongly) return Verdict::strongly_over;
  if (c <= -kWellExposed) return Verdict::over;
  return Verdict::well_exposed;
}

bool verdict_is_uncertain(const StopsEstimate& correction) {
  if (!correction.two_sided()) return false;
  const double low = correction.low->value();
  const double high = correction.high->value();
  constexpr double kFar = 1e3;  // stops; beyond any interval
  const Verdict verdict = verdict_of(correction.value);
  double own = 0;
  constexpr std::array kEdges = {-kFar, -kStrongly, -kWellExposed, kWellExposed, kStrongly, kFar};
  for (std::size_t i = 0; i + 1 < kEdges.size(); ++i) {
    const double middle = (kEdges[i] + kEdges[i + 1]) / 2;
    if (verdict_of(Stops(middle)) != verdict) continue;
    own += std::max(0.0, std::min(high, kEdges[i + 1]) - std::max(low, kEdges[i]));
  }
  return own < (high - low) / 2;
}

}  // namespace basefog::reading

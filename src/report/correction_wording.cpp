// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/correction_wording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include "core/name_list.hpp"
#include "numeric/quantile.hpp"
#include "report/stops_text.hpp"

namespace basefog::report {
namespace {

using reading::kWellExposed;
using reading::Verdict;

/// Chance that the picture needed at least half a stop in the direction of its verdict: the
/// verdict's own, or what the nearer half of the interval says, which also counts in the stronger
/// or weaker verdict of that direction.
double chance_of_direction(const reading::FrameReading& reading) {
  const StopsEstimate& correction = reading.correction.estimate;
  const bool under = reading.verdict < Verdict::well_exposed;
  const auto& near = under ? correction.low : correction.high;
  if (!near) return reading.verdict_chance;
  const double sigma = std::abs((correction.value - *near).value()) / kNormal975;
  const double beyond = (under ? 1 : -1) * correction.value.value() - kWellExposed;
  if (sigma <= 0) return std::max(reading.verdict_chance, beyond >= 0 ? 1.0 : 0.0);
  return std::max(reading.verdict_chance, numeric::normal_cdf(beyond / sigma));
}

}  // namespace

std::string needed_text(const reading::FrameReading& reading) {
  if (reading.verdict == Verdict::well_exposed) return "well exposed";
  return fmt::format("{} {:.1f}", reading.verdict < Verdict::well_exposed ? "under" : "over",
                     std::abs(reading.correction.estimate.value.value()));
}

std::string needed_range(const reading::FrameReading& reading) {
  const StopsEstimate& correction = reading.correction.estimate;
  if (!correction.two_sided()) return "";
  double low = correction.low->value();
  double high = correction.high->value();
  const bool one_way = low >= 0 || high <= 0;
  if (reading.verdict == Verdict::well_exposed || !one_way) return interval_text(correction);
  if (high <= 0) std::tie(low, high) = std::pair(-high, -low);
  return fmt::format("{:.1f} to {:.1f}", low, high);
}

std::string_view word_of(Sureness sureness) {
  return name_in(std::to_array<std::string_view>({"sure", "likely", "unsure"}), sureness);
}

Sureness sureness_of(const reading::FrameReading& reading) {
  constexpr double kSure = 0.9;
  constexpr double kLikely = 0.66;
  const double chance = reading.verdict == Verdict::well_exposed ? reading.verdict_chance
                                                                 : chance_of_direction(reading);
  return chance >= kSure ? Sureness::sure : chance >= kLikely ? Sureness::likely : Sureness::unsure;
}

}  // namespace basefog::report

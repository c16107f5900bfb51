// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/correction_wording.hpp"

#include <fmt/format.h>

#include <cmath>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::report {
namespace {

using reading::kWellExposed;

std::string one_decimal(double value) { return fmt::format("{:.1f}", value); }

/// "well exposed to under 1.3", "over 0.8 to under 1.9", "under by 0.9 to 2.5": short enough for a
/// column of the terminal's table.
std::string between(double low, double high) {
  // The nearer to none first.
  const double first = std::abs(low) <= std::abs(high) ? low : high;
  const double second = first == low ? high : low;
  const std::string further = one_decimal(std::abs(second));
  const std::string side = second > 0 ? "under " : "over ";
  if (low >= kWellExposed || high <= -kWellExposed) {
    return side + "by " + one_decimal(std::abs(first)) + " to " + further;
  }
  if (std::abs(first) < kWellExposed) return "well exposed to " + side + further;
  return (first > 0 ? "under " : "over ") + one_decimal(std::abs(first)) + " to " + side + further;
}

}  // namespace

std::string correction_text(const StopsEstimate& correction) {
  const double stops = correction.value.value();
  if (reading::verdict_is_uncertain(correction)) {
    return between(correction.low->value(), correction.high->value());
  }
  if (std::abs(stops) < kWellExposed) {
    if (correction.low && !correction.high) return "well exposed or under";
    if (correction.high && !correction.low) return "well exposed or over";
    return "well exposed";
  }
  const bool more = stops > 0;
  const std::string words = more ? "under by " : "over by ";
  if (correction.low.has_value() == correction.high.has_value()) {
    return words + one_decimal(std::abs(stops));
  }
  // One end is known; it is given as an amount in the direction of the correction.
  const double bound = correction.low ? correction.low->value() : correction.high->value();
  const double amount = more ? bound : -bound;
  if (amount < 0.05) return words + "an unknown amount";
  const bool at_least = more == correction.low.has_value();
  return words + (at_least ? "at least " : "at most ") + one_decimal(amount);
}

}  // namespace basefog::report

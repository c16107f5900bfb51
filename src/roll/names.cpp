// SPDX-License-Identifier: GPL-3.0-or-later
// The names of this layer's closed lists, as JSON, CSV and reports spell them.
#include <array>
#include <cmath>
#include <cstdio>

#include "basefog/advice.hpp"
#include "basefog/equivalents.hpp"
#include "basefog/frame_reading.hpp"
#include "basefog/matching.hpp"
#include "basefog/shot_log.hpp"
#include "core/name_list.hpp"

namespace basefog {
namespace {

/// Half a stop: below it a picture counts as well exposed.
constexpr double kVerdictStops = 0.5;

std::string one_decimal(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.1f", value);
  return text.data();
}

/// "under by 0.8", "over by 0.6", "well exposed".
std::string what_it_needed(double stops) {
  if (std::abs(stops) < kVerdictStops) return "well exposed";
  return (stops > 0 ? "under by " : "over by ") + one_decimal(std::abs(stops));
}

/// "uncertain: well exposed to under by 1.3", "uncertain: under by 0.9 to 2.5".
std::string uncertain_between(double low, double high) {
  const bool one_side = low >= kVerdictStops || high <= -kVerdictStops;
  // The nearer to none first.
  const double first = std::abs(low) <= std::abs(high) ? low : high;
  const double second = first == low ? high : low;
  return "uncertain: " + what_it_needed(first) + " to " +
         (one_side ? one_decimal(std::abs(second)) : what_it_needed(second));
}

}  // namespace

std::string_view name_of(ErrorCause cause) {
  return name_in(
      std::to_array<std::string_view>({"base", "response", "contrast", "toe_and_shoulder",
                                       "metering_pattern", "clipping", "noise"}),
      cause);
}

std::string_view name_of(Verdict verdict) {
  return name_in(std::to_array<std::string_view>(
                     {"strongly_under", "under", "well_exposed", "over", "strongly_over"}),
                 verdict);
}

std::string_view name_of(ExposureMode mode) {
  return name_in(std::to_array<std::string_view>(
                     {"manual", "aperture_priority", "shutter_priority", "program"}),
                 mode);
}

std::string_view name_of(FilmDirection direction) {
  return name_in(std::to_array<std::string_view>({"forward", "reversed"}), direction);
}

std::string_view name_of(AdviceKind kind) {
  return name_in(std::to_array<std::string_view>(
                     {"nothing_to_change", "dial_exposure_index", "allow_for_speed", "avoid_speed",
                      "allow_for_aperture", "check_lens", "check_meter", "metering", "service",
                      "scanning", "test_next", "caution"}),
                 kind);
}

std::string_view name_of(SettingChanged changed) {
  return name_in(std::to_array<std::string_view>({"shutter", "aperture", "both"}), changed);
}

std::string describe(const StopsEstimate& correction) {
  const double stops = correction.value.value();
  if (verdict_is_uncertain(correction)) {
    return uncertain_between(correction.low->value(), correction.high->value());
  }
  if (std::abs(stops) < kVerdictStops) {
    if (correction.low && !correction.high) return "well exposed or under";
    if (correction.high && !correction.low) return "well exposed or over";
    return "well exposed";
  }
  const bool more = stops > 0;
  const std::string words = more ? "under by " : "over by ";
  if (correction.low.has_value() == correction.high.has_value()) {
    return words + one_decimal(std::abs(stops));
  }
  // What is claimed is the end that is known, as an amount in the direction of the correction.
  const double bound = correction.low ? correction.low->value() : correction.high->value();
  const double amount = more ? bound : -bound;
  if (amount < 0.05) return words + "an unknown amount";
  const bool at_least = more == correction.low.has_value();
  return words + (at_least ? "at least " : "at most ") + one_decimal(amount);
}

}  // namespace basefog

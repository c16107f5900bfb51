// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stops_text.hpp"

#include <fmt/format.h>

#include <cmath>

namespace basefog {
namespace {

/// A tenth of a stop with its sign; never "-0.0".
std::string tenths(Stops stops) {
  const double value = std::round(stops.value() * 10) / 10;
  return value == 0 ? "0.0" : fmt::format("{:+.1f}", value);
}

}  // namespace

Stops to_nearest_third(Stops stops) { return Stops(std::round(stops.value() / kThird) * kThird); }

std::string stops_in_thirds(Stops stops) {
  const long thirds = std::lround(stops.value() / kThird);
  if (thirds == 0) return "0";
  const long whole = std::labs(thirds) / 3;
  const long rest = std::labs(thirds) % 3;
  std::string text = thirds > 0 ? "+" : "-";
  if (whole > 0) text += std::to_string(whole);
  if (whole > 0 && rest > 0) text += ' ';
  if (rest > 0) text += std::to_string(rest) + "/3";
  return text;
}

std::string amount_of_stops(Stops stops) {
  const double amount = std::round(std::abs(stops.value()) * 10) / 10;
  return fmt::format("{:.1f} stop{}", amount, amount > 1 ? "s" : "");
}

std::string interval_text(const StopsEstimate& estimate) {
  if (estimate.two_sided()) {
    return fmt::format("{} to {}", tenths(*estimate.low), tenths(*estimate.high));
  }
  if (estimate.low) return "at least " + tenths(*estimate.low);
  if (estimate.high) return "at most " + tenths(*estimate.high);
  return "unknown";
}

std::string frames_text(int frames) {
  return fmt::format("{} {}", frames, frames == 1 ? "frame" : "frames");
}

std::string evidence_text(const StopsEstimate& estimate, int frames) {
  return fmt::format("{} ({}) over {}", tenths(estimate.value), interval_text(estimate),
                     frames_text(frames));
}

}  // namespace basefog

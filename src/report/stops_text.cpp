// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/stops_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/thirds.hpp"

namespace basefog::report {

std::string signed_stops(Stops stops) {
  const double tenths = std::round(stops.value() * 10) / 10;
  return tenths == 0 ? "0.0" : fmt::format("{:+.1f}", tenths);
}

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
    return fmt::format("{} to {}", signed_stops(*estimate.low), signed_stops(*estimate.high));
  }
  if (estimate.low) return "at least " + signed_stops(*estimate.low);
  if (estimate.high) return "at most " + signed_stops(*estimate.high);
  return "unknown";
}

std::string frames_text(int frames) {
  return fmt::format("{} {}", frames, frames == 1 ? "frame" : "frames");
}

std::string evidence_text(const StopsEstimate& estimate, int frames) {
  return fmt::format("{} ({}) over {}", signed_stops(estimate.value), interval_text(estimate),
                     frames_text(frames));
}

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/ruler.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace basefog::report {
namespace {

/// Place of a value, from 0; -1 and kRulerPlaces stand for all that is beyond the ends.
int place_of(ExposureFromAim exposure) {
  const double thirds = std::round((exposure.value() + kRulerStops) * 3);
  return static_cast<int>(std::clamp(thirds, -1.0, static_cast<double>(kRulerPlaces)));
}

}  // namespace

std::vector<RulerMark> ruler(const Estimate<ExposureFromAim>& got,
                             std::optional<ExposureFromAim> needed) {
  std::vector<RulerMark> marks(kRulerPlaces, RulerMark::gap);
  for (int stop = 0; stop <= 2 * kRulerStops; ++stop) {
    marks[static_cast<std::size_t>(3 * stop)] =
        stop == kRulerStops ? RulerMark::zero : RulerMark::stop;
  }
  const int low = got.low ? place_of(*got.low) : -1;
  const int high = got.high ? place_of(*got.high) : kRulerPlaces;
  const auto set = [&marks](int place, RulerMark mark) {
    if (place >= 0 && place < kRulerPlaces) marks[static_cast<std::size_t>(place)] = mark;
  };
  for (int place = low; place <= high; ++place) set(place, RulerMark::interval);
  if (needed) set(place_of(*needed), RulerMark::needed);
  const int dot = place_of(got.value);
  if (std::min(low, dot) < 0) marks.front() = RulerMark::beyond_low;
  if (std::max(high, dot) >= kRulerPlaces) marks.back() = RulerMark::beyond_high;
  set(dot, RulerMark::got);
  return marks;
}

std::string_view glyph(RulerMark mark) {
  switch (mark) {
    case RulerMark::gap:
      return " ";
    case RulerMark::stop:
      return "\u00B7";
    case RulerMark::zero:
      return "|";
    case RulerMark::interval:
      return "\u2500";
    case RulerMark::got:
      return "\u25CF";
    case RulerMark::needed:
      return "\u25B2";
    case RulerMark::beyond_low:
      return "<";
    case RulerMark::beyond_high:
      return ">";
  }
  return " ";
}

std::string ruler_head() {
  std::string head;
  for (int stop = -kRulerStops; stop <= kRulerStops; ++stop) {
    head += stop == -kRulerStops ? fmt::format("{:+d}", stop)
            : stop == 0          ? std::string("  0")
                                 : fmt::format(" {:+d}", stop);
  }
  return head;
}

}  // namespace basefog::report

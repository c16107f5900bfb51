// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/settings.hpp"

#include <array>
#include <charconv>
#include <initializer_list>

namespace basefog {
namespace {

/// A mark is taken for a member of its series within this distance; the worst mark in use, f/1.2,
/// is 0.141 stop from its exact value (computed from the third-stop series).
constexpr double kMarkTolerance = 0.15;

/// The member of the nearest of the series k / steps_per_stop to `stops`, in stops.
double nearest_mark(double stops, std::initializer_list<double> steps_per_stop) {
  double best = stops;
  double best_distance = kMarkTolerance;
  for (double steps : steps_per_stop) {
    const double mark = std::round(stops * steps) / steps;
    if (std::abs(mark - stops) < best_distance) {
      best = mark;
      best_distance = std::abs(mark - stops);
    }
  }
  return best;
}

/// Marks of half-stop series that lie nearer to a third stop (1/10 for 1/11.3): [half stops of
/// log2, mark], times in seconds, then f-numbers.
struct HalfStopMark {
  double stops;
  double mark;
};
constexpr std::array<HalfStopMark, 8> kHalfStopTimes = {{{4.5, 20},
                                                         {3.5, 10},
                                                         {2.5, 6},
                                                         {1.5, 3},
                                                         {-1.5, 1.0 / 3},
                                                         {-2.5, 1.0 / 6},
                                                         {-3.5, 1.0 / 10},
                                                         {-4.5, 1.0 / 20}}};
constexpr HalfStopMark kHalfStopNumber = {3.75, 13};

bool same(double a, double b) { return std::abs(a - b) < 1e-9 * std::abs(b); }

std::string trimmed(double value, int digits) {
  // With a point whatever locale the program around the library has set.
  std::array<char, 32> text{};
  char* end = std::to_chars(text.data(), text.data() + text.size(), value,
                            std::chars_format::general, digits)
                  .ptr;
  return {text.data(), end};
}

}  // namespace

ShutterTime exact(ShutterTime marked) {
  // No third-stop series has 3 s or 1/3 s.
  if (same(marked.seconds(), 3)) return ShutterTime(std::exp2(1.5));
  if (same(marked.seconds(), 1.0 / 3)) return ShutterTime(std::exp2(-1.5));
  return ShutterTime(std::exp2(nearest_mark(std::log2(marked.seconds()), {1, 3, 2})));
}

FNumber exact(FNumber marked) {
  return FNumber(std::exp2(nearest_mark(marked.aperture_value(), {1, 3, 2}) / 2));
}

FilmSpeed exact(FilmSpeed marked) {
  return FilmSpeed(100 * std::exp2(nearest_mark(std::log2(marked.iso() / 100), {3})));
}

FilmSpeed nearest_marked(FilmSpeed speed) {
  // One decade of marks; the series repeats, ten thirds to the decade [ISO6].
  constexpr std::array<double, 10> kMarks = {1, 1.25, 1.6, 2, 2.5, 3.2, 4, 5, 6.4, 8};
  const double thirds = std::round(std::log2(speed.iso() / 100) * 3);
  const double exact_third = 100 * std::exp2(thirds / 3);
  FilmSpeed best(exact_third);
  double distance = kMarkTolerance;
  for (double decade : {1.0, 10.0, 100.0, 1000.0, 10000.0}) {
    for (double mark : kMarks) {
      const double off = std::abs(std::log2(mark * decade / exact_third));
      if (off < distance) {
        distance = off;
        best = FilmSpeed(mark * decade);
      }
    }
  }
  // Above 100 the trade doubles (3200, 6400, 12800) and drops to whole numbers below (12, 6, 3).
  for (double mark : {3.0, 6.0, 12.0, 12800.0, 25600.0}) {
    if (std::abs(std::log2(mark / exact_third)) < kMarkTolerance) best = FilmSpeed(mark);
  }
  return best;
}

Stops exposure_change(ShutterTime t, FNumber n, ShutterTime reference_t, FNumber reference_n) {
  return Stops(exact(reference_t).time_value() - exact(t).time_value() +
               exact(reference_n).aperture_value() - exact(n).aperture_value());
}

double exposure_value_100(ShutterTime t, FNumber n, FilmSpeed speed) {
  return exact(n).aperture_value() + exact(t).time_value() -
         (exact(speed).speed_value() - FilmSpeed(100).speed_value());
}

std::string as_marked(ShutterTime t) {
  for (const HalfStopMark& half : kHalfStopTimes) {
    if (same(t.seconds(), std::exp2(half.stops))) return as_marked(ShutterTime(half.mark));
  }
  // Fractions up to a third of a second; 0.3 s and longer as decimals.
  if (t.seconds() > 0.29 && !same(t.seconds(), 1.0 / 3)) return trimmed(t.seconds(), 3) + " s";
  return "1/" + trimmed(1 / t.seconds(), 4);
}

std::string as_marked(FNumber n) {
  if (same(n.value(), std::exp2(kHalfStopNumber.stops))) n = FNumber(kHalfStopNumber.mark);
  return "f/" + trimmed(n.value(), 3);
}

std::string as_marked(FilmSpeed s) { return trimmed(s.iso(), 5); }

}  // namespace basefog

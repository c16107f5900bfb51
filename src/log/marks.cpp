// SPDX-License-Identifier: GPL-3.0-or-later
// The series of marks that dials and rings carry.
#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/log/camera.hpp"

namespace basefog::log {
namespace {

// Denominators for fractions, seconds from 0.3 s up.
constexpr auto kFullTimes = std::to_array<double>(
    {30, 15, 8, 4, 2, 1, 1.0 / 2, 1.0 / 4, 1.0 / 8, 1.0 / 15, 1.0 / 30, 1.0 / 60, 1.0 / 125,
     1.0 / 250, 1.0 / 500, 1.0 / 1000, 1.0 / 2000, 1.0 / 4000, 1.0 / 8000});
constexpr auto kHalfTimes = std::to_array<double>(
    {20, 10, 6, 3, 1.5, 0.7, 1.0 / 3, 1.0 / 6, 1.0 / 10, 1.0 / 20, 1.0 / 45, 1.0 / 90, 1.0 / 180,
     1.0 / 350, 1.0 / 750, 1.0 / 1500, 1.0 / 3000, 1.0 / 6000});
constexpr auto kThirdTimes = std::to_array<double>(
    {25,         20,         13,         10,        6,         5,         3.2,        2.5,
     1.6,        1.3,        0.8,        0.6,       0.4,       0.3,       1.0 / 5,    1.0 / 6,
     1.0 / 10,   1.0 / 13,   1.0 / 20,   1.0 / 25,  1.0 / 40,  1.0 / 50,  1.0 / 80,   1.0 / 100,
     1.0 / 160,  1.0 / 200,  1.0 / 320,  1.0 / 400, 1.0 / 640, 1.0 / 800, 1.0 / 1250, 1.0 / 1600,
     1.0 / 2500, 1.0 / 3200, 1.0 / 5000, 1.0 / 6400});

// [Kamerarkasi], continued from f/22 to f/64 in the same steps.
constexpr auto kFullStops =
    std::to_array<double>({1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32, 45, 64});
constexpr auto kHalfStops =
    std::to_array<double>({1.2, 1.7, 2.4, 3.3, 4.8, 6.7, 9.5, 13, 19, 27, 38, 54});
constexpr auto kThirdStops =
    std::to_array<double>({1.1, 1.2, 1.6, 1.8, 2.2, 2.5, 3.2, 3.5, 4.5, 5,  6.3, 7.1,
                           9,   10,  13,  14,  18,  20,  25,  29,  36,  40, 51,  57});

// [FilmSpeedTable] between its full stops: third stops as films and dials are marked.
constexpr auto kFilmSpeeds =
    std::to_array<double>({6,    8,    10,   12,   16,   20,   25,   32,   40,    50,   64,   80,
                           100,  125,  160,  200,  250,  320,  400,  500,  640,   800,  1000, 1250,
                           1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000, 10000, 12800});

/// Full marks and those between them that belong to the steps, within two ends, sorted.
template <class Full, class Half, class Third>
std::vector<double> marks(const Full& full, const Half& half, const Third& third, MarkSteps steps,
                          double least, double most) {
  std::vector<double> all(full.begin(), full.end());
  if (steps == MarkSteps::half) all.insert(all.end(), half.begin(), half.end());
  if (steps == MarkSteps::third) all.insert(all.end(), third.begin(), third.end());
  // Ends are marks too, so a little is left for rounding.
  std::erase_if(all, [&](double mark) { return mark < least * 0.999 || mark > most * 1.001; });
  std::ranges::sort(all);
  return all;
}

/// The half stop, halfway between whole ones, that a value in stops is nearest to.
double half_stops_from(double stops) { return std::floor(stops) + 0.5; }

/// True where a series has the mark, as engraved.
template <class Series>
bool has(const Series& series, double mark) {
  return std::ranges::any_of(series, [&](double m) { return std::abs(m / mark - 1) < 1e-3; });
}

/// The steps between marks of one series, by those that no other has.
template <class Half, class Third>
std::optional<MarkSteps> steps_between(const std::vector<double>& marks, const Half& half,
                                       const Third& third) {
  const auto only = [&](const auto& series, const auto& other) {
    return std::ranges::any_of(marks,
                               [&](double mark) { return has(series, mark) && !has(other, mark); });
  };
  const bool halves = only(half, third);
  if (halves == only(third, half)) return std::nullopt;
  return halves ? MarkSteps::half : MarkSteps::third;
}

}  // namespace

std::vector<ShutterTime> standard_times(MarkSteps steps, ShutterTime longest,
                                        ShutterTime shortest) {
  const std::vector<double> all =
      marks(kFullTimes, kHalfTimes, kThirdTimes, steps, shortest.seconds(), longest.seconds());
  std::vector<ShutterTime> times;
  for (auto mark = all.rbegin(); mark != all.rend(); ++mark) times.emplace_back(*mark);
  return times;
}

std::vector<FNumber> standard_stops(MarkSteps steps, FNumber widest, FNumber narrowest) {
  std::vector<FNumber> stops;
  for (const double mark :
       marks(kFullStops, kHalfStops, kThirdStops, steps, widest.value(), narrowest.value())) {
    stops.emplace_back(mark);
  }
  return stops;
}

std::vector<FilmSpeed> standard_film_speeds() { return {kFilmSpeeds.begin(), kFilmSpeeds.end()}; }

std::optional<MarkSteps> steps_of(const std::vector<ShutterTime>& times) {
  std::vector<double> marks;
  for (const ShutterTime t : times) marks.push_back(t.seconds());
  return steps_between(marks, kHalfTimes, kThirdTimes);
}

std::optional<MarkSteps> steps_of(const std::vector<FNumber>& stops) {
  std::vector<double> marks;
  for (const FNumber n : stops) marks.push_back(n.value());
  return steps_between(marks, kHalfStops, kThirdStops);
}

ShutterTime exact(ShutterTime marked, MarkSteps steps) {
  if (steps != MarkSteps::half || !has(kHalfTimes, marked.seconds())) return exact(marked);
  return ShutterTime(std::exp2(-half_stops_from(marked.time_value())));
}

FNumber exact(FNumber marked, MarkSteps steps) {
  if (steps != MarkSteps::half || !has(kHalfStops, marked.value())) return exact(marked);
  return FNumber(std::exp2(half_stops_from(marked.aperture_value()) / 2));
}

}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/camera.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "roll/plain_text.hpp"

namespace basefog {
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

constexpr Stops kOffMark{0.25};

template <class Mark>
bool is_marked(const std::vector<Mark>& marked, Mark value, double stops_per_octave) {
  const auto position = [&](Mark m) {
    if constexpr (requires { m.seconds(); })
      return std::log2(exact(m).seconds());
    else
      return std::log2(exact(m).value());
  };
  return std::ranges::any_of(marked, [&](Mark mark) {
    return std::abs(position(mark) - position(value)) * stops_per_octave <= kOffMark.value();
  });
}

void remark(ShotLog& log, LogRow& row, std::string_view meaning, std::string value,
            std::string text) {
  row.doubtful = true;
  const auto column = std::ranges::find(log.columns, meaning, &LogColumn::meaning);
  log.remarks.push_back({row.line,
                         column == log.columns.end() ? std::string(meaning) : column->header,
                         std::move(value), std::move(text)});
}

void check_shutter(ShotLog& log, LogRow& row, const Camera& camera) {
  if (!row.used.shutter || camera.shutter.empty()) return;
  const ShutterTime time = *row.used.shutter;
  const bool by_hand =
      !row.mode || *row.mode == ExposureMode::manual || *row.mode == ExposureMode::shutter_priority;
  if (time > camera.shutter.front() && camera.bulb) return;
  const bool beyond = time.seconds() > camera.shutter.front().seconds() * 1.2 ||
                      time.seconds() < camera.shutter.back().seconds() / 1.2;
  const bool between = by_hand && !is_marked(camera.shutter, time, 1);
  if (!beyond && !between) return;
  const std::string mark = as_marked(time);
  remark(log, row, "shutter", mark,
         mark + (beyond ? " is beyond this camera's shutter." : " is not on this camera's dial."));
}

void check_aperture(ShotLog& log, LogRow& row, const Camera& camera) {
  if (!row.used.aperture) return;
  const CameraLens* lens = lens_of(camera, row);
  const std::vector<FNumber>& stops = lens != nullptr ? lens->stops : camera.stops;
  if (stops.empty() || (lens == nullptr && !camera.lenses.empty())) return;
  const double n = row.used.aperture->value();
  if (n > stops.front().value() / 1.06 && n < stops.back().value() * 1.06) return;
  const std::string mark = as_marked(*row.used.aperture);
  remark(log, row, "aperture", mark,
         mark + " is beyond the lens" + (lens != nullptr ? " \"" + lens->name + "\"." : "."));
}

}  // namespace

std::string_view name_of(MeterKind kind) {
  constexpr auto kNames = std::to_array<std::string_view>(
      {"none", "through_lens", "beside_lens", "hand_held_reflected", "hand_held_incident"});
  return kNames.at(static_cast<std::size_t>(kind));
}

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

Camera default_camera() {
  Camera camera;
  camera.shutter = standard_times(MarkSteps::full, ShutterTime(1), ShutterTime(1.0 / 1000));
  camera.stops = standard_stops(MarkSteps::full, FNumber(1.4), FNumber(22));
  camera.film_speeds = standard_film_speeds();
  camera.compensation_most = Stops(2);
  return camera;
}

const CameraLens* lens_of(const Camera& camera, const LogRow& row) {
  const std::string written = plain_form(row.lens);
  const CameraLens* found = nullptr;
  int fits = 0;
  const auto consider = [&](const CameraLens& lens) {
    found = &lens;
    ++fits;
  };
  if (!written.empty()) {
    for (const CameraLens& lens : camera.lenses) {
      if (plain_form(lens.name) == written) consider(lens);
    }
  }
  if (fits == 0 && row.focal_length_mm) {
    for (const CameraLens& lens : camera.lenses) {
      const double mm = *row.focal_length_mm;
      if (mm > lens.shortest_mm * 0.97 && mm < lens.longest_mm * 1.03) consider(lens);
    }
  }
  if (fits == 0 && written.empty() && !row.focal_length_mm && camera.lenses.size() == 1) {
    consider(camera.lenses.front());
  }
  return fits == 1 ? found : nullptr;
}

ShutterTime hand_hold_limit(const Camera& camera, std::optional<double> focal_length_mm) {
  if (camera.steady) return *camera.steady;
  if (focal_length_mm && *focal_length_mm > 0) return ShutterTime(1 / *focal_length_mm);
  return ShutterTime(1.0 / 60);
}

void check_against_camera(ShotLog& log, const Camera& camera) {
  for (LogRow& row : log.rows) {
    check_shutter(log, row, camera);
    check_aperture(log, row, camera);
    const bool metered_apart = row.metered.shutter || row.metered.aperture;
    if (log.meter.empty() && !metered_apart) {
      row.meter_behind_filter = camera.meter == MeterKind::through_lens;
    }
  }
  std::ranges::stable_sort(log.remarks, {}, &LogRemark::line);
}

}  // namespace basefog

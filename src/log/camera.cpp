// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/camera.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/name_list.hpp"
#include "core/plain_text.hpp"

namespace basefog::log {
namespace {

/// A time this far from every mark is on none: three quarters of a third stop.
constexpr Stops kOffMark{0.25};

bool is_marked(const std::vector<ShutterTime>& marked, ShutterTime time) {
  return std::ranges::any_of(marked, [&](ShutterTime mark) {
    return std::abs(exact(mark).time_value() - exact(time).time_value()) <= kOffMark.value();
  });
}

/// The exact half stop where the mark alone would be taken for another; else the mark as written.
template <class Mark>
Mark settled(Mark marked) {
  const Mark half = exact(marked, MarkSteps::half);
  return half == exact(marked) ? marked : half;
}

void remark(ShotLog& log, LogRow& row, std::string_view meaning, std::string value, Doubted doubt) {
  row.doubtful = true;
  const auto column = std::ranges::find(log.columns, meaning, &LogColumn::meaning);
  log.remarks.push_back({row.line,
                         column == log.columns.end() ? std::string(meaning) : column->header,
                         std::move(value),
                         {std::move(doubt)}});
}

void check_shutter(ShotLog& log, LogRow& row, const Camera& camera) {
  if (!row.used.shutter || camera.shutter.empty()) return;
  const ShutterTime time = *row.used.shutter;
  const bool by_hand =
      !row.mode || *row.mode == ExposureMode::manual || *row.mode == ExposureMode::shutter_priority;
  if (time > camera.shutter.front() && camera.bulb) return;
  const bool beyond = time.seconds() > camera.shutter.front().seconds() * 1.2 ||
                      time.seconds() < camera.shutter.back().seconds() / 1.2;
  const bool between = by_hand && !is_marked(camera.shutter, time);
  if (!beyond && !between) return;
  remark(log, row, "shutter", as_marked(time), beyond ? Doubt::beyond_shutter : Doubt::not_on_dial);
}

void check_aperture(ShotLog& log, LogRow& row, const Camera& camera) {
  if (!row.used.aperture) return;
  const CameraLens* lens = lens_of(camera, row);
  const std::vector<FNumber>& stops = lens != nullptr ? lens->stops : camera.stops;
  if (stops.empty() || (lens == nullptr && !camera.lenses.empty())) return;
  const double n = row.used.aperture->value();
  if (n > stops.front().value() / 1.06 && n < stops.back().value() * 1.06) return;
  Doubted doubt(Doubt::beyond_lens);
  if (lens != nullptr) doubt.values.emplace_back(lens->name);
  remark(log, row, "aperture", as_marked(*row.used.aperture), std::move(doubt));
}

}  // namespace

std::string_view name_of(MeterKind kind) {
  return name_in(std::to_array<std::string_view>({"none", "through_lens", "beside_lens",
                                                  "hand_held_reflected", "hand_held_incident"}),
                 kind);
}

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

std::vector<FNumber> all_stops(const Camera& camera) {
  if (camera.lenses.empty()) return camera.stops;
  std::vector<FNumber> stops;
  for (const CameraLens& lens : camera.lenses) {
    stops.insert(stops.end(), lens.stops.begin(), lens.stops.end());
  }
  std::ranges::sort(stops);
  stops.erase(std::unique(stops.begin(), stops.end()), stops.end());
  return stops;
}

ShutterTime hand_hold_limit(const Camera& camera, std::optional<double> focal_length_mm) {
  if (camera.steady) return *camera.steady;
  if (focal_length_mm && *focal_length_mm > 0) return ShutterTime(1 / *focal_length_mm);
  return ShutterTime(1.0 / 60);
}

void settle_marks(ShotLog& log, const Camera* camera) {
  std::vector<ShutterTime> times;
  std::vector<FNumber> numbers;
  for (const LogRow& row : log.rows) {
    for (const ShotSettings& set : {row.used, row.metered}) {
      if (set.shutter) times.push_back(*set.shutter);
      if (set.aperture) numbers.push_back(*set.aperture);
    }
  }
  const auto dial = steps_of(camera != nullptr ? camera->shutter : times);
  const auto ring_of_log = steps_of(numbers);
  for (LogRow& row : log.rows) {
    const CameraLens* lens = camera != nullptr ? lens_of(*camera, row) : nullptr;
    const auto ring = lens != nullptr     ? steps_of(lens->stops)
                      : camera != nullptr ? steps_of(camera->stops)
                                          : ring_of_log;
    for (ShotSettings* set : {&row.used, &row.metered}) {
      if (dial == MarkSteps::half && set->shutter) {
        set->shutter = settled(*set->shutter);
      }
      if (ring == MarkSteps::half && set->aperture) {
        set->aperture = settled(*set->aperture);
      }
    }
  }
}

void check_against_camera(ShotLog& log, const Camera& camera) {
  settle_marks(log, &camera);
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

}  // namespace basefog::log

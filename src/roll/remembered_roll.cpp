// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/remembered_roll.hpp"

#include <algorithm>
#include <filesystem>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"

namespace basefog::roll {
namespace {

/// Fewer frames of a roll are not kept: two that disagree do not say which is off.
constexpr std::size_t kLeastFrames = 3;

/// Earliest date of the log's rows, else of the scans.
std::string date_of(const Analysis& analysis) {
  const auto earliest = [](std::vector<std::string> dates) {
    std::erase_if(dates, [](const std::string& date) { return !meter::day_of(date); });
    return dates.empty() ? std::string() : *std::ranges::min_element(dates);
  };
  std::vector<std::string> logged;
  if (analysis.log) {
    for (const log::LogRow& row : analysis.log->rows) logged.push_back(row.date);
  }
  std::vector<std::string> taken;
  for (const FrameResult& frame : analysis.frames) {
    taken.push_back(frame.measurement.metadata.original_date);
  }
  std::string date = earliest(std::move(logged));
  return date.empty() ? earliest(std::move(taken)) : date;
}

std::string camera_of(const Analysis& analysis) {
  if (analysis.camera) return analysis.camera->name;
  return analysis.log ? analysis.log->camera : "";
}

}  // namespace

std::optional<memory::KeptFilm> kept_film(const Analysis& analysis) {
  const bool read = std::ranges::any_of(
      analysis.frames, [](const FrameResult& frame) { return frame.reading.has_value(); });
  if (!read || !memory::names_a_film(analysis.film_use.film)) return std::nullopt;
  constexpr auto kContrast = film::FilmParameter::contrast;
  memory::KeptFilm kept{
      .lesson = {.roll = analysis.name,
                 .camera = camera_of(analysis),
                 .date = date_of(analysis),
                 .use = analysis.film_use,
                 .film_speed = analysis.film.iso_speed,
                 .form = film::fingerprint(analysis.film_form),
                 .evidence = analysis.film_evidence,
                 .profile = std::make_shared<film::FilmProfile>(analysis.film_form)},
      .of_series = analysis.of_series,
      .aim_k = analysis.aim.k,
      .aim_q = analysis.aim.q,
      .log_contrast = analysis.film_belief.mean[kContrast],
      .log_contrast_sigma = analysis.film_belief.sigma(kContrast)};
  for (std::size_t f = 0; f < analysis.frames.size(); ++f) {
    if (!analysis.frames[f].reading) continue;
    const reading::FrameReading& reading = *analysis.frames[f].reading;
    kept.frames.push_back(
        {f, analysis.kept[f], reading.exposure.estimate.value, reading.correction.estimate.value});
  }
  return kept;
}

meter::RememberedRoll remembered_roll(const Analysis& analysis) {
  const std::vector<meter::DeviationSample>& samples = analysis.deviations;
  if (samples.size() < kLeastFrames) {
    throw InputError(ErrorCode::usage, "--remember",
                     "found fewer than three frames that say something of the meter",
                     "give the roll's log, or see the warnings for what keeps frames out");
  }
  meter::RememberedRoll roll;
  roll.name = analysis.name;
  roll.camera = camera_of(analysis);
  roll.film = analysis.log->film.empty() ? analysis.film.name : analysis.log->film;
  roll.film_speed = analysis.film.iso_speed;
  roll.film_speed_sigma = samples.front().film_speed_sigma;
  roll.dialled = analysis.dialled;
  roll.date = date_of(analysis);
  if (analysis.camera) {
    roll.battery = analysis.camera->battery;
    if (!analysis.camera->battery_fitted.empty()) {
      roll.battery += " fitted " + analysis.camera->battery_fitted;
    }
  }
  roll.deviations = samples;
  roll.techniques = analysis.technique_samples;
  return roll;
}

}  // namespace basefog::roll

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
/// Fewer frames of a roll are not kept: two that disagree do not say which is off.
constexpr std::size_t kLeastFrames = 3;

/// Earliest date of the log's rows, else of the scans.
std::string date_of(const Analysis& analysis) {
  const auto earliest = [](std::vector<std::string> dates) {
    std::erase_if(dates, [](const std::string& date) { return !meter::day_of(date); });
    return dates.empty() ? std::string() : *std::ranges::min_element(dates);
  };
  std::vector<std::string> logged;
  for (const log::LogRow& row : analysis.log->rows) logged.push_back(row.date);
  std::vector<std::string> taken;
  for (const FrameResult& frame : analysis.frames) {
    taken.push_back(frame.measurement.metadata.original_date);
  }
  std::string date = earliest(std::move(logged));
  return date.empty() ? earliest(std::move(taken)) : date;
}

std::string name_for(const Analysis& analysis) {
  if (!analysis.log->roll.empty()) return analysis.log->roll;
  const std::filesystem::path& file = analysis.frames.front().measurement.file;
  const std::filesystem::path folder = std::filesystem::absolute(file).parent_path();
  return folder.filename().string();
}

}  // namespace

meter::RememberedRoll remembered_roll(const Analysis& analysis, const std::string& name) {
  const std::vector<meter::DeviationSample>& samples = analysis.deviations;
  if (samples.size() < kLeastFrames) {
    throw InputError(ErrorCode::usage, "--remember",
                     "found fewer than three frames that say something of the meter",
                     "give the roll's log, or see the warnings for what keeps frames out");
  }
  meter::RememberedRoll roll;
  roll.name = name.empty() ? name_for(analysis) : name;
  roll.camera = analysis.camera ? analysis.camera->name : analysis.log->camera;
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

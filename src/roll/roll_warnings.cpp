// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/roll_warnings.hpp"

#include <algorithm>
#include <utility>

#include "basefog/log/scene_light.hpp"

namespace basefog::roll {
namespace {

Warning warning_of(const FrameResult& frame, Flag flag, const std::optional<log::ShotLog>& log) {
  Warning warning{frame.measurement.file, flag};
  if (flag == Flag::log_contradicts_scene) {
    warning.fact = *log::scene_contradiction(log->rows[*frame.log_row], *frame.scene_ev);
  }
  return warning;
}

}  // namespace

std::vector<Warning> log_warnings(const std::optional<log::ShotLog>& log,
                                  const std::optional<density::ScanFailure>& failure) {
  std::vector<Warning> warnings;
  if (failure) warnings.push_back({failure->file, failure->flag, *failure});
  if (!log) return warnings;
  for (const log::LogRemark& remark : log->remarks) {
    warnings.push_back({log->path, Flag::log_value_doubtful, remark});
  }
  return warnings;
}

std::vector<Warning> joined(std::initializer_list<std::vector<Warning>> lists) {
  std::vector<Warning> all;
  for (const std::vector<Warning>& list : lists) all.insert(all.end(), list.begin(), list.end());
  return all;
}

std::vector<Warning> warnings_of(std::span<const RollDoubt> doubts) {
  std::vector<Warning> warnings;
  for (const RollDoubt& doubt : doubts) warnings.push_back(doubt.warning);
  return warnings;
}

std::vector<Warning> warnings_of(const KnownFilm& film, bool unlike) {
  std::vector<Warning> warnings;
  if (unlike) warnings.push_back({std::nullopt, Flag::unlike_remembered});
  if (film.memory && !film.memory->odd.empty()) {
    warnings.push_back({std::nullopt, Flag::odd_remembered, OddRolls{film.memory->odd}});
  }
  return warnings;
}

std::vector<Warning> with_frame_warnings(std::vector<Warning> before,
                                         std::span<const FrameResult> frames,
                                         const std::optional<log::ShotLog>& log) {
  std::vector<Warning> warnings = std::move(before);
  for (const FlagText& text : all_flags()) {
    if (text.flag == Flag::unreadable_file) continue;  // each has its own warning
    const auto has_flag = [&](const FrameResult& frame) { return frame.flags.contains(text.flag); };
    const auto count = static_cast<std::size_t>(std::ranges::count_if(frames, has_flag));
    const bool said_of_roll = std::ranges::any_of(warnings, [&](const Warning& warning) {
      return warning.flag == text.flag && !warning.file;
    });
    if (count == 0 || said_of_roll) continue;
    if (count == frames.size()) {
      warnings.push_back({std::nullopt, text.flag});
      continue;
    }
    for (const FrameResult& frame : frames) {
      if (!has_flag(frame)) continue;
      Warning warning = warning_of(frame, text.flag, log);
      const bool said = std::ranges::find(warnings, warning) != warnings.end();
      if (!said) warnings.push_back(std::move(warning));
    }
  }
  return warnings;
}

}  // namespace basefog::roll

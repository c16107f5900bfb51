// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/exit_status.hpp"

#include <algorithm>

#include "cli/terminal.hpp"
#include "report/warning_wording.hpp"

namespace basefog::cli {

ExitStatus exit_status_of(const roll::Analysis& analysis) {
  const auto count = [&](auto... states) {
    return std::count_if(
        analysis.frames.begin(), analysis.frames.end(),
        [&](const roll::FrameResult& frame) { return ((frame.state == states) || ...); });
  };
  if (count(density::FrameState::measured) == 0) return kNothingMeasured;
  // A log that could not be read counts as a scan that could not.
  const bool all_read = std::ranges::none_of(analysis.warnings, [](const roll::Warning& warning) {
    return warning.flag == Flag::unreadable_file;
  });
  return all_read && count(density::FrameState::measured, density::FrameState::blank) ==
                         static_cast<std::ptrdiff_t>(analysis.frames.size())
             ? kAllMeasured
             : kSomeNotMeasured;
}

void say_unreadable(const roll::Analysis& analysis) {
  for (const roll::Warning& warning : analysis.warnings) {
    if (warning.flag != Flag::unreadable_file || !warning.file) continue;
    say(warning.file->string() + " " + report::warning_text(warning) + "; " +
        report::next_step_text(warning) + ".");
  }
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

namespace basefog::manual {

/// Exit status of `basefog`; `kExitStates` says it in words.
enum ExitStatus {
  kAllMeasured = 0,
  kSomeNotMeasured = 1,
  kUsage = 2,
  kNothingMeasured = 3,
};

struct ExitState {
  ExitStatus status;
  const char* text;  ///< a sentence
};
inline constexpr auto kExitStates = std::to_array<ExitState>({
    {kAllMeasured, "All frames were measured; a blank frame counts as dealt with."},
    {kSomeNotMeasured,
     "Some frames could not be measured, or the log not read; of basefog log: a value is "
     "doubtful."},
    {kUsage, "The command could not be carried out as given."},
    {kNothingMeasured, "Nothing could be measured."},
});

}  // namespace basefog::manual

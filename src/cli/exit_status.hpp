// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace basefog::cli {

/// What `basefog` tells the shell; the README's table says the same.
enum ExitStatus {
  kAllMeasured = 0,
  kSomeNotMeasured = 1,
  kUsage = 2,
  kNothingMeasured = 3,
};

}  // namespace basefog::cli

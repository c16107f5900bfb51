// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/roll/analysis.hpp"

namespace basefog {

/// An invented roll, filled in by hand so that writers can be tested without an estimator: blank,
/// no reference, positive and unreadable frames, one-sided intervals, a frame without log row,
/// names and notes that try to break the output.
roll::Analysis sample_analysis();
/// The same roll reviewed without a log.
roll::Analysis sample_analysis_without_log();
/// Three frames of a colour negative, two of them on one scan.
roll::Analysis sample_colour_analysis();
/// A roll of `frames` measured frames with full-size pictures, for sizes and times.
roll::Analysis sample_long_roll(int frames, int long_side = 720);

/// Text that must never reach a browser, spreadsheet or terminal as it is.
inline constexpr const char* kHostileScene = "\"><script>alert('scene')</script>";
inline constexpr const char* kHostileNote = "=HYPERLINK(\"http://example.invalid\",\"x\")";
inline constexpr const char* kHostileFile = "scans/<img src=x onerror=alert(1)>\x1b[31m\xff.tif";

}  // namespace basefog

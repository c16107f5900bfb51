// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <ostream>
#include <span>
#include <string>
#include <vector>

#include "basefog/report/report.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::report {

/// One line for a roll among many.
struct RollSummary {
  std::string name;  ///< as it was given
  /// Its report, relative to the index page; empty where there is none.
  std::filesystem::path report;
  /// Why the roll could not be reviewed at all, as a sentence; empty where it was.
  std::string failure;
  /// Why frames could not be measured or the log not be read, with what to do; empty where all was.
  std::string trouble;
  std::size_t frames = 0;        ///< on its scans, blank ones too
  std::size_t well_exposed = 0;  ///< whose verdict is likely or sure
  std::size_t under = 0;         ///< likewise, strongly or not
  std::size_t over = 0;          ///< likewise, strongly or not
  std::size_t unsure = 0;        ///< whose verdict is less likely than two in three
  std::size_t blank = 0;         ///< without a picture
  std::size_t not_measured = 0;  ///< though there is a picture, or the file is unreadable
  std::optional<ExposureFromAim> median_exposure;  ///< of the frames that were measured
  std::optional<StopsEstimate> bias;               ///< of the meter; absent without a log
  std::string worst_frame;  ///< whose picture needed the greatest change; empty where none is known
  std::string worst_words;  ///< "under 2.3 (1.9 to 2.6), sure"
  std::size_t warnings = 0;  ///< alike ones count once
  bool with_log = false;     ///< has rows, if only from the scans' own settings
  /// What to do on the next roll: the plan, or what must be answered or scanned first; may be
  /// empty.
  std::string next_time;
  /// How much needs attention: stops by which pictures missed a good exposure, an unmeasured frame
  /// counting as two, a frame of the roll.
  double attention = 0;
};

/// The line of a reviewed roll.
RollSummary summarise(const std::string& name, const roll::Analysis& analysis);

/// The order in which rolls stand: those that could not be reviewed first, then by attention;
/// equals by name.
bool needs_more_attention(const RollSummary& a, const RollSummary& b);

// Pure functions; rolls in the order given.

/// A line a roll for the terminal, several where it is narrow; sorted by needs_more_attention, as
/// the text below the table says so.
void write_rolls_table(std::ostream& out, std::span<const RollSummary> rolls,
                       const TerminalStyle& style = {});
/// A record a roll, as write_csv.
void write_rolls_csv(std::ostream& out, std::span<const RollSummary> rolls);

}  // namespace basefog::report

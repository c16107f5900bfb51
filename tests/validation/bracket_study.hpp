// SPDX-License-Identifier: GPL-3.0-or-later
// How true the contrast is that brackets on an ordinary roll give: pictures of panoramas, some of
// them taken at -1, 0 and +1 stops by hand, scanned, written and reviewed with their log.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace validation {

/// What goes wrong with the last frame of each bracket.
enum class Trouble {
  none,
  changed_light,  ///< a cloud passed: 1.5 stops brighter at the settings written down
  wrong_row,      ///< the row holds a time two stops longer than was set
  moved_subject,  ///< somebody, a twelfth of the frame, has come in
};

struct BracketStudy {
  std::filesystem::path panoramas;  ///< folder of .exr and .hdr; empty: made-up scenes
  int rolls = 10;
  std::uint64_t seed = 1;
  int brackets = 1;    ///< on each roll
  int others = 2;      ///< frames that belong to none
  double scatter = 0;  ///< of each exposure about its mark, stops, one sigma
  bool colour = false;
  Trouble trouble = Trouble::none;
  std::filesystem::path kept;  ///< scans' records and logs are kept here, and taken from here
};

struct BracketOutcome {
  bool found = false;  ///< the roll's contrast comes from its series
  double factor = 1;   ///< average gradient against the generic film's
  double low = 0;      ///< of its 95 % interval
  double high = 0;
  double truth = 1;
  int series = 0;      ///< that were seen
  int used = 0;        ///< of them
  int left_out = 0;    ///< frames
  std::string scenes;  ///< of the brackets
};

/// Runs all rolls; the same numbers on every run.
std::vector<BracketOutcome> run(const BracketStudy& study, const std::filesystem::path& folder);

}  // namespace validation

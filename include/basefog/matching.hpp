// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/shot_log.hpp"

namespace basefog {

/// What matching knows of one frame: a few numbers, so that it can be tested without pictures.
struct MatchFrame {
  std::string label;  ///< from the file name; may be empty
  bool blank = false;
  std::optional<Stops> exposure;  ///< against the aim, with its standard deviation
  double exposure_sigma = 0.5;
  std::string date;  ///< ISO 8601, when the picture was taken, if known
};

enum class FilmDirection { forward, reversed };
std::string_view name_of(FilmDirection direction);

struct FrameMatch {
  std::optional<std::size_t> row;  ///< index into the log's rows
  double probability = 0;          ///< of this pairing
  bool doubtful = false;           ///< another row is almost as likely
};

struct Matching {
  FilmDirection direction = FilmDirection::forward;
  double confidence = 0;           ///< probability of the least sure pairing
  std::vector<FrameMatch> frames;  ///< one per frame, in the order given
  std::vector<std::size_t> unmatched_rows;
  std::vector<std::size_t> unmatched_frames;
  std::vector<std::string> notes;  ///< sentences
};

/// Aligns frames in film order with log rows: labels first, then order, blanks and exposures.
Matching match_frames(std::span<const MatchFrame> frames, const ShotLog& log, FilmSpeed film_speed);

}  // namespace basefog

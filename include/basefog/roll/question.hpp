// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/matching/matching.hpp"

namespace basefog::roll {

/// What is asked.
enum class QuestionAbout {
  response,   ///< how the scans' codes stand for light
  film_kind,  ///< what film it is
  negative,   ///< whether the scans show negatives
  direction,  ///< how the scans lie on the film
  rows,       ///< which row a frame has
  log         ///< whether the log is of this roll
};
constexpr QuestionAbout last_of(QuestionAbout) { return QuestionAbout::log; }
std::string_view name_of(QuestionAbout about);  ///< as in JSON

/// The frame has this row, or none, and so the scans lie on the film as `way` says.
struct FrameHasRow {
  std::size_t frame = 0;                                ///< index into the roll's frames
  std::optional<std::size_t> row;                       ///< index into the log's rows; absent: none
  matching::ScanWay way = matching::ScanWay::as_given;  ///< how the scans lie then
  std::size_t strip = 0;  ///< scans in a strip, where `way` goes by strips
};

/// The log is of this roll, or it is not.
struct LogIsOfRoll {
  bool of_roll = true;  ///< false: of another roll
};

/// A value that an option takes, by its name: "linear", "colour".
struct NamedAnswer {
  std::string name;  ///< as the option takes it
};

/// What follows where an answer is true; absent where it makes no difference that is known.
struct Consequence {
  std::optional<StopsEstimate> bias;    ///< of the meter
  std::optional<std::size_t> doubtful;  ///< frames whose row stays open
};

/// One answer.
struct Choice {
  std::variant<FrameHasRow, LogIsOfRoll, NamedAnswer> answer;  ///< by what the question is about
  std::optional<double> chance;  ///< 0 to 1, as things stand; absent where it is not known
  std::string option;  ///< the words of the command line that answer so; empty for a match file
  Consequence then;    ///< what follows from it
};

/// What only a person can tell, and what hangs on it.
struct Question {
  QuestionAbout about{};        ///< decides which answers there are
  std::vector<Choice> choices;  ///< most probable first
};

}  // namespace basefog::roll

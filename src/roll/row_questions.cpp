// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/row_questions.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/name_list.hpp"
#include "roll/camera_findings.hpp"

namespace basefog::roll {
namespace {

constexpr double kWorthAsking = 0.1;  ///< an answer less probable is not named
constexpr std::size_t kMostChoices = 3;

/// How open a frame's row is, in natural units of information.
double openness(const matching::FrameMatch& match) {
  double sum = 0;
  for (const matching::PossibleRow& possible : match.possible) {
    sum -= possible.probability * std::log(possible.probability);
  }
  return sum;
}

/// The doubtful frame whose answer says most; nothing where none is doubtful.
std::optional<std::size_t> most_open(const matching::Matching& matching) {
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < matching.frames.size(); ++i) {
    if (!matching.frames[i].doubtful) continue;
    if (!found || openness(matching.frames[i]) > openness(matching.frames[*found])) found = i;
  }
  return found;
}

/// Without chances: of 2,000 logs simulated with their own roll 5 came so far (tests/validation,
/// STUDIES.md), and how often people give another roll's log nobody has counted.
Question whether_of_roll() {
  return {.about = QuestionAbout::log,
          .choices = {{.answer = LogIsOfRoll{false}, .option = "--log FILE"},
                      {.answer = LogIsOfRoll{true}}}};
}

}  // namespace

std::string_view name_of(QuestionAbout about) {
  return name_in(std::to_array<std::string_view>(
                     {"response", "film_kind", "negative", "direction", "rows", "log"}),
                 about);
}

std::vector<Question> ask_for_rows(std::span<const ReferencedFrame> frames,
                                   const FrameReadings& readings, const film::FilmProfile& film,
                                   const Written& written, const MatchedLog& rows) {
  if (!rows.matching) return {};
  const matching::Matching& found = *rows.matching;
  if (found.log_test && found.log_test->belongs == matching::LogBelongs::no) {
    return {whether_of_roll()};
  }
  const auto frame = most_open(found);
  if (!frame) return {};
  Question question{.about = QuestionAbout::rows};
  for (const matching::PossibleRow& possible : found.frames[*frame].possible) {
    if (possible.probability < kWorthAsking || question.choices.size() == kMostChoices) break;
    const MatchedLog so = match_rows(frames, readings, film, written,
                                     FrameHasRow{.frame = *frame, .row = possible.row});
    const CameraFindings camera =
        judge_camera(compare_with_log(frames, readings, so, film), so, film);
    const auto doubtful = static_cast<std::size_t>(
        std::ranges::count_if(so.matching->frames, &matching::FrameMatch::doubtful));
    if (so.matching->way != found.way) question.about = QuestionAbout::direction;
    question.choices.push_back(
        {.answer = FrameHasRow{*frame, possible.row, so.matching->way, so.matching->strip},
         .chance = possible.probability,
         .option = "",
         .then = {.bias = camera.meter ? camera.meter->bias : std::nullopt, .doubtful = doubtful}});
  }
  if (question.choices.size() < 2) return {};
  return {std::move(question)};
}

}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/question_wording.hpp"

#include <fmt/format.h>

#include "basefog/report/matching_wording.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

using roll::Question;
using roll::QuestionAbout;

std::string row_words(const roll::Analysis& analysis, const roll::FrameHasRow& answer) {
  if (!answer.row) return "no row";
  const std::string& scene = analysis.log->rows[*answer.row].scene;
  return "row " + matching::row_name(*analysis.log, *answer.row) +
         (scene.empty() ? "" : " (" + scene + ")");
}

std::string question_text(const roll::Analysis& analysis, const Question& question) {
  switch (question.about) {
    case QuestionAbout::response:
      return "How do the numbers in the scans stand for light?";
    case QuestionAbout::film_kind:
      return "What film is it?";
    case QuestionAbout::negative:
      return "Do the scans show negatives?";
    case QuestionAbout::log:
      return "Is this the log of this roll?";
    case QuestionAbout::direction:
    case QuestionAbout::rows:
      break;
  }
  const auto& first = std::get<roll::FrameHasRow>(question.choices.front().answer);
  const std::string which =
      fmt::format("Which row does {} have?", file_and_index(analysis, first.frame));
  return question.about == QuestionAbout::direction
             ? "In which order do the scans lie on the film? " + which
             : which;
}

/// What stays open and what the meter's bias is, where an answer holds.
std::string meaning_of(const roll::Consequence& then) {
  std::string text;
  if (then.doubtful) {
    text = *then.doubtful == 0 ? "every frame then has its row"
                               : fmt::format("{} then stay{} doubtful",
                                             frames_text(static_cast<int>(*then.doubtful)),
                                             *then.doubtful == 1 ? "s" : "");
  }
  if (then.bias && is_known(*then.bias)) {
    text += (text.empty() ? "" : "; ") +
            fmt::format("the meter's bias is {:+.2f} stop", then.bias->value.value());
  }
  return text;
}

struct Wording {
  const roll::Analysis& analysis;
  const roll::Choice& choice;

  ChoiceWords operator()(const roll::FrameHasRow& answer) const {
    const std::string row =
        answer.row ? matching::row_name(*analysis.log, *answer.row) : std::string();
    const std::string way = way_text(answer.way, answer.strip);
    return {.answer = row_words(analysis, answer),
            .option = fmt::format("--match match.csv with the line {},{},yes",
                                  file_and_index(analysis, answer.frame), row),
            .meaning = (way.empty() ? "" : way + " ") + meaning_of(choice.then)};
  }
  ChoiceWords operator()(const roll::LogIsOfRoll& answer) const {
    return answer.of_roll
               ? ChoiceWords{.answer = "yes",
                             .option =
                                 "--match match.csv with yes in the column fixed of half of "
                                 "the lines",
                             .meaning = "bias and advice are learned from it"}
               : ChoiceWords{.answer = "no, it is another roll's",
                             .option = choice.option,
                             .meaning = "the readings stand without it"};
  }
  ChoiceWords operator()(const roll::NamedAnswer& answer) const {
    return {.answer = answer.name == "linear" ? "in proportion to light (linear)"
                      : answer.name == "srgb" ? "through a display's tone curve (sRGB)"
                                              : answer.name,
            .option = choice.option,
            .meaning = meaning_of(choice.then)};
  }
};

}  // namespace

QuestionWords question_words(const roll::Analysis& analysis, const roll::Question& question) {
  QuestionWords words{.text = question_text(analysis, question), .choices = {}};
  for (const roll::Choice& choice : question.choices) {
    words.choices.push_back(std::visit(Wording{analysis, choice}, choice.answer));
  }
  return words;
}

std::vector<std::string> question_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> sentences;
  for (const roll::Question& question : analysis.questions) {
    const QuestionWords words = question_words(analysis, question);
    sentences.push_back(words.text);
    for (std::size_t i = 0; i < words.choices.size(); ++i) {
      const ChoiceWords& choice = words.choices[i];
      const auto& chance = question.choices[i].chance;
      sentences.push_back(fmt::format(
          "  {}{}{}{}. To say so: {}", chance ? fmt::format("{:.0f} %: ", 100 * *chance) : "",
          choice.answer, choice.meaning.empty() ? "" : "; ", choice.meaning, choice.option));
    }
  }
  return sentences;
}

}  // namespace basefog::report

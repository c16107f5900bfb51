// SPDX-License-Identifier: GPL-3.0-or-later
// Questions to the person, in words.
#pragma once

#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::report {

/// One answer in words, plain UTF-8 that is not yet escaped.
struct ChoiceWords {
  std::string answer;   ///< "row 9, the scans run as given"
  std::string option;   ///< what to write so that it holds
  std::string meaning;  ///< what follows from it; may be empty
};

/// A question in words, with its answers.
struct QuestionWords {
  std::string text;                  ///< the question, a sentence or two
  std::vector<ChoiceWords> choices;  ///< most probable first
};

/// The words of one of an analysis's questions.
QuestionWords question_words(const roll::Analysis& analysis, const roll::Question& question);

/// Each question as lines for the terminal: the question, then its answers.
std::vector<std::string> question_sentences(const roll::Analysis& analysis);

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/roll/advice.hpp"

namespace basefog::report {

/// An advice in ordinary words, plain UTF-8 that is not yet escaped.
struct AdviceWords {
  /// A sentence or two, in three parts so that a page can set the middle one apart: what to dial or
  /// to look at, as it stands in the sentence ("250"). It may be empty.
  std::string before{};
  std::string setting{};   ///< the middle part
  std::string after{};     ///< the last part
  std::string set{};       ///< `setting` on its own: "EI 250", "1/500", a scene word; may be empty
  std::string evidence{};  ///< "-0.5 (-0.7 to -0.3) over 24 frames"; may be empty

  std::string text() const { return before + setting + after; }  ///< the whole sentence
  /// The evidence in brackets behind it.
  std::string with_evidence() const {
    return text() + (evidence.empty() ? "" : " [" + evidence + "]");
  }
};

/// The words of any advice.
AdviceWords advice_words(const roll::Advice& advice);

/// Each advice as one text, its evidence in brackets behind it.
std::vector<std::string> advice_sentences(const std::vector<roll::Advice>& advice);

}  // namespace basefog::report

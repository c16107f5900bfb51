// SPDX-License-Identifier: GPL-3.0-or-later
#include "manual/nearest_word.hpp"

#include <cstddef>

#include "core/plain_text.hpp"

namespace basefog::manual {

std::string suggestion(std::string_view typed, const std::vector<std::string>& words) {
  std::string nearest;
  std::size_t fewest = typed.size() / 3 + 1;
  for (const std::string& word : words) {
    const std::size_t edits = edits_between(typed, word);
    if (edits >= fewest) continue;
    fewest = edits;
    nearest = word;
  }
  return nearest.empty() ? "" : ", did you mean " + nearest + "?";
}

}  // namespace basefog::manual

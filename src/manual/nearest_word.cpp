// SPDX-License-Identifier: GPL-3.0-or-later
#include "manual/nearest_word.hpp"

#include <algorithm>
#include <cstddef>

namespace basefog::manual {
namespace {

/// How many single letters must be left out, added, changed or swapped with their neighbour to make
/// b of a, where no letter is touched twice [Damerau1964]. Takes |a| |b| steps.
std::size_t edits_between(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> edits(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) edits[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) edits[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = edits[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      edits[i][j] = std::min({edits[i - 1][j] + 1, edits[i][j - 1] + 1, changed});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        edits[i][j] = std::min(edits[i][j], edits[i - 2][j - 2] + 1);
      }
    }
  }
  return edits[a.size()][b.size()];
}

}  // namespace

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

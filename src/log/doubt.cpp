// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/doubt.hpp"

#include <algorithm>
#include <array>

#include "log/values.hpp"

namespace basefog::log {

bool says_nothing(std::string_view text) {
  constexpr auto kNothing = std::to_array<std::string_view>(
      {"",       "-",         "--",    "---", "?",    "??", "???",     "n/a",
       "n.a.",   "na",        "n/k",   "nil", "none", "no", "unknown", "not noted",
       "forgot", "forgotten", "x x x", "...", "_",    "__", "___",     "."});
  const std::string plain = plain_form(text);
  return std::ranges::find(kNothing, plain) != kNothing.end();
}

Doubts take_hedge(std::string& plain) {
  bool hedged = false;
  const auto drop_front = [&](std::string_view piece) {
    if (!plain.starts_with(piece)) return false;
    plain = std::string(trimmed(std::string_view(plain).substr(piece.size())));
    return true;
  };
  const auto drop_back = [&](std::string_view piece) {
    if (!plain.ends_with(piece)) return false;
    plain = std::string(trimmed(std::string_view(plain).substr(0, plain.size() - piece.size())));
    return true;
  };
  for (const std::string_view piece :
       {"~", "approximately ", "approx. ", "approx ", "about ", "around ", "ca. ", "ca ", "circa ",
        "c. ", "maybe ", "probably ", "perhaps ", "guess "}) {
    hedged |= drop_front(piece);
  }
  for (const std::string_view piece : {"(?)", "??", "?", "ish", " or so", " i think", " maybe"}) {
    hedged |= drop_back(piece);
  }
  if (plain.size() > 2 && plain.front() == '(' && plain.back() == ')') {
    plain = std::string(trimmed(std::string_view(plain).substr(1, plain.size() - 2)));
  }
  return hedged ? Doubts{Doubt::hedged} : Doubts{};
}

Doubts left_over(const Cursor& cursor) {
  if (cursor.done()) return {};
  return {Doubted(Doubt::goes_on, {std::string(cursor.rest())})};
}

void add(Doubts& doubts, const Doubts& more) {
  doubts.insert(doubts.end(), more.begin(), more.end());
}

}  // namespace basefog::log

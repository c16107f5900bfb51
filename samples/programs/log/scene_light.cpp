// SPDX-License-Identifier: GPL-3.0-or-later
// How bright a scene must have been by its words, and whether the settings agree.
#include "basefog/log/scene_light.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const auto words = log::scene_light_of("beach, full sun");
  if (!words) return 1;
  const StopsEstimate dim{Stops(9), Stops(8.5), Stops(9.5)};
  std::printf("EV %.0f to %.0f by '%s'; EV 9 %s\n", words->lowest_ev, words->highest_ev,
              words->words.c_str(), log::words_disagree(*words, dim) ? "cannot be" : "may be");
  return log::words_disagree(*words, dim) ? 0 : 1;
}

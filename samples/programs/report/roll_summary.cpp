// SPDX-License-Identifier: GPL-3.0-or-later
// The sample roll as one line among many.
#include "basefog/report/roll_summary.hpp"

#include <algorithm>
#include <iostream>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  std::vector<report::RollSummary> rolls{report::summarise("roll 3", roll::review({argv[1]}, {}))};
  report::RollSummary lost{.name = "roll 4", .failure = "holds no scans"};
  rolls.push_back(lost);
  std::ranges::stable_sort(rolls, report::needs_more_attention);
  report::write_rolls_table(std::cout, rolls);
  return rolls.front().name == "roll 4" ? 0 : 1;
}

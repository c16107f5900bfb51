// SPDX-License-Identifier: GPL-3.0-or-later
// What to do next time.
#include "basefog/roll/advice.hpp"

#include <cstdio>

#include "basefog/report/advice_wording.hpp"
#include "basefog/roll/analysis.hpp"

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  roll::ReviewOptions options;
  options.log = std::filesystem::path(argv[1]) / "log.csv";
  const roll::Analysis analysis = roll::review({argv[1]}, options);
  for (const roll::Advice& advice : analysis.advice) {
    std::printf("%s\n", report::advice_words(advice).text().c_str());
  }
  return analysis.advice.empty() && !analysis.next_roll ? 1 : 0;
}

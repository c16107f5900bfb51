// SPDX-License-Identifier: GPL-3.0-or-later
// record_rolls PANORAMAS STRATUM ROLLS SEED (KEPT): photographs rolls of 36 frames of real scenes,
// reads them back, and prints a line a frame for bias_study: what the film got and what was read.
// The scans' records are kept in the folder KEPT, and taken from there.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <string>

#include "validation/study.hpp"

namespace {

/// Which ends of the interval are known.
const char* ends(const basefog::StopsEstimate& estimate) {
  if (estimate.two_sided()) return "both";
  return estimate.low ? "low" : estimate.high ? "high" : "none";
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 5 && argc != 6) {
    std::fprintf(stderr, "record_rolls PANORAMAS STRATUM ROLLS SEED (KEPT)\n");
    return 2;
  }
  validation::StudyOptions options;
  options.panoramas = argv[1];
  options.rolls = std::atoi(argv[3]);
  options.frames = 36;
  options.seed = std::strtoull(argv[4], nullptr, 10);
  options.given_frames = true;
  if (argc == 6) options.kept = argv[5];
  const auto strata = validation::strata();
  const auto stratum = std::ranges::find(strata, std::string(argv[2]), &validation::Stratum::name);
  if (stratum == strata.end()) {
    std::fprintf(stderr, "record_rolls: no stratum \"%s\"\n", argv[2]);
    return 2;
  }
  try {
    for (const validation::Outcome& outcome : validation::run(*stratum, options)) {
      if (!outcome.reading) continue;
      const basefog::reading::Answer<basefog::Stops> exposure = in_stops(outcome.reading->exposure);
      // film, roll, true exposure, read, ends known, one sigma's change by cause
      std::printf("%s,%llu-%d,%.3f,%.3f,%s", stratum->film_test ? "test" : "generic",
                  static_cast<unsigned long long>(options.seed), outcome.roll,
                  outcome.truth.exposure, exposure.estimate.value.value(), ends(exposure.estimate));
      for (double part : exposure.budget) std::printf(",%.4f", part);
      std::printf("\n");
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "record_rolls: %s\n", error.what());
    return 2;
  }
}

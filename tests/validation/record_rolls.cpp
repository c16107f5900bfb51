// SPDX-License-Identifier: GPL-3.0-or-later
// record_rolls PANORAMAS STRATUM ROLLS SEED: photographs rolls of 36 frames of real scenes, reads
// them back, and prints a line a frame for bias_study: what the film got and what was read.
#include <cstdio>
#include <cstdlib>
#include <string>

#include "validation/study.hpp"

int main(int argc, char** argv) {
  if (argc != 5) {
    std::fprintf(stderr, "record_rolls PANORAMAS STRATUM ROLLS SEED\n");
    return 2;
  }
  const std::string wanted = argv[2];
  validation::StudyOptions options;
  options.panoramas = argv[1];
  options.rolls = std::atoi(argv[3]);
  options.frames = 36;
  options.seed = std::strtoull(argv[4], nullptr, 10);
  options.given_frames = true;
  for (const validation::Stratum& stratum : validation::strata()) {
    if (stratum.name != wanted) continue;
    for (const validation::Outcome& outcome : validation::run(stratum, options)) {
      if (!outcome.reading) continue;
      const basefog::Answer& exposure = outcome.reading->exposure;
      // film, roll, true exposure, read, both ends known, one sigma's change by cause
      std::printf("%s,%llu-%d,%.3f,%.3f,%d", stratum.film_test ? "test" : "generic",
                  static_cast<unsigned long long>(options.seed), outcome.roll,
                  outcome.truth.exposure, exposure.estimate.value.value(),
                  exposure.estimate.two_sided() ? 1 : 0);
      for (double part : exposure.budget) std::printf(",%.4f", part);
      std::printf("\n");
    }
  }
}

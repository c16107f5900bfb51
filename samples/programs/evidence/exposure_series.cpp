// SPDX-License-Identifier: GPL-3.0-or-later
// How much more exposure one frame of a bracket got than another, by the log.
#include "basefog/evidence/exposure_series.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const log::ShotLog log =
      log::parse_shot_log("frame,shutter,aperture\n1,1/125,8\n2,1/60,8\n3,1/30,8\n", "log.csv");
  const film::Reciprocity none;
  const auto difference =
      evidence::logged_difference(evidence::logged_exposure(log.rows.at(0), none),
                                  evidence::logged_exposure(log.rows.at(2), none));
  if (!difference) return 1;
  std::printf("frame 3 got %+.2f stops against frame 1\n", difference->value());
  return abs(*difference - Stops(2)) < Stops(0.05) ? 0 : 1;
}

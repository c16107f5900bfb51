// SPDX-License-Identifier: GPL-3.0-or-later
// Frames to rows: a blank frame first, then two pictures, against a log of two.
#include "basefog/matching/matching.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const log::ShotLog log =
      log::parse_shot_log("frame,shutter,aperture\n1,1/125,8\n2,1/60,8\n", "log.csv");
  std::vector<matching::MatchFrame> frames(3);
  frames[0].blank = true;
  frames[1].label = "1";
  frames[2].label = "2";
  const matching::Matching matching =
      matching::match_frames(frames, log, film::generic_black_and_white(FilmSpeed(400)));
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const matching::FrameMatch& match = matching.frames.at(i);
    std::printf("frame %zu: %s\n", i,
                match.row ? matching::row_name(log, *match.row).c_str() : "no row");
  }
  return !matching.frames[0].row && matching.frames[2].row == std::size_t{1} ? 0 : 1;
}

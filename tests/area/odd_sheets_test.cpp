// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets that were once read wrong, kept as scans with the frames that lie on them
// (tests/data/odd_sheets, made by strewn_study --scans).
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "makers/drawn_scan.hpp"

namespace basefog::area {
namespace {

struct KeptFrame {
  FrameRegion region;
  bool must_be_found;  ///< others are cut, or show nothing
};

std::map<std::string, std::vector<KeptFrame>> kept_sheets() {
  std::ifstream table(BASEFOG_TEST_DATA "/odd_sheets/frames.tsv");
  std::map<std::string, std::vector<KeptFrame>> sheets;
  std::string line;
  while (std::getline(table, line)) {
    if (line.starts_with('#')) continue;
    std::istringstream in(line);
    std::string file;
    KeptFrame frame{};
    FrameRegion& r = frame.region;
    std::getline(in, file, '\t');
    in >> r.centre_x >> r.centre_y >> r.width >> r.height >> r.angle_degrees >> frame.must_be_found;
    sheets[file].push_back(frame);
  }
  return sheets;
}

double overlap_of(const FrameRegion& a, const FrameRegion& b) { return drawn::overlap(b, a); }

TEST(OddSheets, every_frame_is_found_and_none_invented) {
  const auto sheets = kept_sheets();
  EXPECT_EQ(sheets.size(), 12U);
  for (const auto& [file, frames] : sheets) {
    const scan::Scan scan = scan::read_scan(BASEFOG_TEST_DATA "/odd_sheets/" + file);
    const FilmLayout layout = find_film(scan);
    const auto best = [](const FrameRegion& region, const auto& others, auto region_of) {
      double most = 0;
      for (const auto& other : others) most = std::max(most, overlap_of(region, region_of(other)));
      return most;
    };
    int number = 0;
    for (const KeptFrame& frame : frames) {
      ++number;
      if (!frame.must_be_found) continue;
      EXPECT_GT(best(frame.region, layout.frames, [](const FrameRegion& r) { return r; }), 0.95)
          << file << ", frame " << number;
    }
    for (const FrameRegion& found : layout.frames) {
      EXPECT_GT(best(found, frames, [](const KeptFrame& f) { return f.region; }), 0.5)
          << file << " at " << found.centre_x << ", " << found.centre_y;
    }
  }
}

}  // namespace
}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
// Every scan of the test data goes all the way from its bytes to its frames' densities: odd TIFF
// layouts, damaged ones. The build with sanitizers sees what goes wrong unseen. (Sheets that were
// once read wrong have a test of their own, in area.)
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "basefog/area/film_area.hpp"
#include "basefog/core/error.hpp"
#include "basefog/density/density.hpp"

namespace basefog::density {
namespace {
namespace fs = std::filesystem;

TEST(KeptScans, are_measured_or_refused_by_name) {
  int measured = 0;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(BASEFOG_TEST_DATA)) {
    if (!entry.is_regular_file() || !scan::has_scan_extension(entry.path())) continue;
    if (entry.path().parent_path().filename() == "odd_sheets") continue;
    SCOPED_TRACE(entry.path());
    try {
      const scan::Scan scan = scan::read_scan(entry.path());
      const area::FilmLayout layout = area::find_film(scan);
      const std::vector<FrameMeasurement> frames = measure_frames(scan, layout);
      EXPECT_EQ(frames.size(), layout.frames.size());
      for (const FrameMeasurement& frame : frames) {
        for (const float d : frame.apertures.density) EXPECT_TRUE(std::isfinite(d));
      }
      ++measured;
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), entry.path());
    }
  }
  EXPECT_GE(measured, 20);
}

}  // namespace
}  // namespace basefog::density

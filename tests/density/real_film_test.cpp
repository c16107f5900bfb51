// SPDX-License-Identifier: GPL-3.0-or-later
// A real scanner and real film: six strips of one film with known exposures, scanned twice
// [Dosepy]. The response of that scanner is not known, so what is checked holds under any rising
// one: order, repeatability, and that nothing is clearer than the bare surround.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "basefog/density/density.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::density {
namespace {

/// Rows of the strips' middles in the crops; see tests/data/radiochromic/README.md.
constexpr std::array<int, 6> kStripRows = {54, 146, 243, 338, 430, 532};
constexpr int kHalfHeight = 12;

/// Mean density of the rows about `row`, one a channel.
std::array<double, 3> strip_density(const scan::Scan& scan, int row) {
  std::array<double, 3> density{};
  const decode::BlockImage& blocks = scan.blocks;
  for (int c = 0; c < 3; ++c) {
    double light = 0;
    int count = 0;
    for (int y = row - kHalfHeight; y <= row + kHalfHeight; ++y) {
      for (int x = 0; x < blocks.width; ++x) {
        light += blocks.mean[blocks.index(c, x, y)];
        ++count;
      }
    }
    density[c] = Density::from_transmittance(light / count).value();
  }
  return density;
}

class RealFilm : public ::testing::Test {
 protected:
  static scan::Scan scan_of(const char* name) {
    return scan::read_scan(std::filesystem::path(BASEFOG_TEST_DATA) / "radiochromic" / name);
  }
  const scan::Scan first = scan_of("first.tif");
  const scan::Scan second = scan_of("second.tif");
};

TEST_F(RealFilm, strips_come_out_in_the_order_of_their_exposures) {
  for (const scan::Scan* scan : {&first, &second}) {
    for (std::size_t i = 1; i < kStripRows.size(); ++i) {
      const auto less = strip_density(*scan, kStripRows[i - 1]);
      const auto more = strip_density(*scan, kStripRows[i]);
      for (int c : {0, 1}) EXPECT_GT(more[c], less[c] + 0.02) << "strip " << i << " channel " << c;
    }
  }
}

// The scans repeat within about 310 codes of 65535 a pixel [Dosepy]; a strip's mean does far
// better.
TEST_F(RealFilm, two_scans_of_one_film_agree_within_a_hundredth) {
  for (int row : kStripRows) {
    const auto a = strip_density(first, row);
    const auto b = strip_density(second, row);
    for (int c = 0; c < 3; ++c) EXPECT_NEAR(a[c], b[c], 0.01) << "row " << row << " channel " << c;
  }
}

TEST_F(RealFilm, net_densities_above_the_unexposed_strip_repeat_better_still) {
  const auto base_a = strip_density(first, kStripRows[0]);
  const auto base_b = strip_density(second, kStripRows[0]);
  for (std::size_t i = 1; i < kStripRows.size(); ++i) {
    const auto a = strip_density(first, kStripRows[i]);
    const auto b = strip_density(second, kStripRows[i]);
    for (int c : {0, 1}) EXPECT_NEAR(a[c] - base_a[c], b[c] - base_b[c], 0.005) << i;
  }
}

TEST_F(RealFilm, no_film_is_clearer_than_the_bare_surround) {
  const auto surround = strip_density(first, 100);
  for (int row : kStripRows) {
    const auto film = strip_density(first, row);
    for (int c = 0; c < 3; ++c) EXPECT_GT(film[c], surround[c] + 0.05);
  }
}

TEST_F(RealFilm, says_that_the_response_was_assumed) {
  EXPECT_TRUE(first.flags.contains(Flag::response_assumed));
}

// Middles of the six strips, rows of the whole scan as [Dosepy]'s own tests have them.
constexpr std::array<double, 6> kStripMiddles = {94, 186, 283, 378, 470, 572};

class RealFilmWhole : public RealFilm {
 protected:
  const scan::Scan one = scan_of("first_whole.tif");
  const scan::Scan two = scan_of("second_whole.tif");
  const area::FilmLayout layout_one = area::find_film(one);
  const area::FilmLayout layout_two = area::find_film(two);
};

TEST_F(RealFilmWhole, six_pieces_of_film_are_found_where_they_lie) {
  for (const area::FilmLayout* layout : {&layout_one, &layout_two}) {
    ASSERT_EQ(layout->frames.size(), kStripMiddles.size());
    EXPECT_EQ(layout->strips.size(), kStripMiddles.size());
    for (std::size_t i = 0; i < kStripMiddles.size(); ++i) {
      // Cropped by 30 rows and averaged two by two.
      EXPECT_NEAR(layout->frames[i].centre_y, (kStripMiddles[i] - 30) / 2, 2) << i;
      EXPECT_LT(std::abs(layout->frames[i].angle_degrees), 1.0) << i;
    }
  }
}

TEST_F(RealFilmWhole, regions_are_the_same_in_both_scans) {
  ASSERT_EQ(layout_one.frames.size(), layout_two.frames.size());
  for (std::size_t i = 0; i < layout_one.frames.size(); ++i) {
    const area::FrameRegion& a = layout_one.frames[i];
    const area::FrameRegion& b = layout_two.frames[i];
    EXPECT_NEAR(a.centre_x, b.centre_x, 0.5) << i;
    EXPECT_NEAR(a.centre_y, b.centre_y, 0.5) << i;
    EXPECT_NEAR(a.width, b.width, 1) << i;
    EXPECT_NEAR(a.height, b.height, 1) << i;
    EXPECT_NEAR(a.angle_degrees, b.angle_degrees, 0.2) << i;
  }
}

// The first strip got no exposure: its density is base + fog. That it is clear film nobody can tell
// from the scan, so it is read as a scan of clear film.
TEST_F(RealFilmWhole, base_is_the_same_in_both_scans) {
  const FilmBase a = base_of_clear_film(measure_frames(one, layout_one).at(0));
  const FilmBase b = base_of_clear_film(measure_frames(two, layout_two).at(0));
  for (std::size_t c = 0; c < 3; ++c) {
    EXPECT_NEAR(a.density[c].value(), b.density[c].value(), 0.005) << c;
    EXPECT_LE(std::abs(a.density[c].value() - b.density[c].value()),
              3 * std::hypot(a.sigma[c].value(), b.sigma[c].value()))
        << c;
  }
  EXPECT_EQ(measure_rebate(one, layout_one).kind, measure_rebate(two, layout_two).kind);
}

TEST_F(RealFilmWhole, evenly_exposed_film_is_not_called_blank) {
  for (const FrameMeasurement& frame : measure_frames(one, layout_one)) {
    EXPECT_NE(frame.state, FrameState::blank) << frame.index;
  }
}

}  // namespace
}  // namespace basefog::density

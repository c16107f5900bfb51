// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "evidence/hue_spread.hpp"
#include "numeric/quantile.hpp"
#include "roll/roll_doubts.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/image_files.hpp"
#include "simulator/scan_file.hpp"
#include "test_folder.hpp"

namespace basefog::roll {
namespace {

/// How a roll of real scenes was made; three channels, clear film balanced to gray.
struct Making {
  simulator::Film film;
  bool panchromatic = false;  ///< all layers of the film get the same light
  double apart = 0;   ///< pixels between red and green, as of a scanner with a line for each
  double tinted = 0;  ///< share of blue light that is missing at the right edge
};

simulator::ScanImage scan_of(const Making& making, const simulator::Panorama& scene,
                             std::uint64_t seed) {
  const simulator::View view{.yaw = 40.0 * static_cast<double>(seed), .field_of_view = 50};
  simulator::Shot shot =
      simulator::take(simulator::lit(scene, view, 11), view, {360, 240}, simulator::Camera{});
  if (making.panchromatic) {
    cv::cvtColor(simulator::luminance(shot.exposure), shot.exposure, cv::COLOR_GRAY2BGR);
  }
  simulator::Scanner scanner;
  scanner.channels = 3;
  scanner.pixel_mm = 0.1;
  scanner.gain.clear();
  for (std::size_t c = 0; c < 3; ++c) {
    const std::size_t layer = making.film.base.size() == 1 ? 0 : c;
    scanner.gain.push_back((0.75 + 0.05 * static_cast<double>(c)) *
                           std::pow(10, making.film.base[layer]));
  }
  simulator::Seat seat;
  seat.margin_along = 1.6;
  simulator::ScanImage image =
      simulator::scan(simulator::one_frame(shot.exposure, simulator::film_format("24x36"), seat),
                      making.film, scanner, seed);
  std::vector<cv::Mat> channels;
  cv::split(image.codes, channels);
  const cv::Mat aside = (cv::Mat_<double>(2, 3) << 1, 0, making.apart, 0, 1, 0);
  cv::warpAffine(channels[0], channels[0], aside, channels[0].size(), cv::INTER_LINEAR,
                 cv::BORDER_REPLICATE);
  for (int x = 0; x < image.codes.cols; ++x) {
    channels[2].col(x) *= 1 - making.tinted * x / image.codes.cols;
  }
  cv::merge(channels, image.codes);
  return image;
}

Analysis reviewed(const Making& making, const std::optional<film::FilmProfile>& film = {}) {
  const std::filesystem::path folder = test::test_folder() / "hues";
  std::filesystem::create_directories(folder);
  std::uint64_t seed = 0;
  std::vector<std::filesystem::path> scans;
  for (const char* scene : {"forest_slope", "potsdamer_platz", "st_fagans_interior",
                            "studio_small_03", "venice_sunset"}) {
    const auto file =
        std::filesystem::path(BASEFOG_TEST_DATA) / "panoramas" / (std::string(scene) + ".hdr");
    scans.push_back(folder / (std::string(scene) + ".tif"));
    simulator::write_tiff(scans.back(), scan_of(making, simulator::read_panorama(file), ++seed));
  }
  ReviewOptions options;
  options.film = film;
  options.film_speed = FilmSpeed(400);
  return review(scans, options);
}

int warnings_of_hues(const Analysis& analysis) {
  return static_cast<int>(
      std::ranges::count(analysis.warnings, Flag::hues_on_gray_film, &Warning::flag));
}

TEST(FilmHues, colour_film_whose_mask_was_balanced_away_is_told_once) {
  const Analysis analysis = reviewed({.film = simulator::colour_film({}, "400")});
  ASSERT_EQ(analysis.film.layers.size(), 1u);
  EXPECT_EQ(warnings_of_hues(analysis), 1);
  EXPECT_GE(std::ranges::count_if(analysis.frames,
                                  [](const FrameResult& frame) {
                                    return frame.flags.contains(Flag::hues_on_gray_film);
                                  }),
            3);
}

TEST(FilmHues, who_names_the_film_is_not_warned) {
  const Making colour{.film = simulator::colour_film({}, "400")};
  EXPECT_EQ(warnings_of_hues(reviewed(colour, film::generic_colour_negative(FilmSpeed(400)))), 0);
  EXPECT_EQ(warnings_of_hues(reviewed(colour, film::generic_black_and_white(FilmSpeed(400)))), 0);
}

TEST(FilmHues, silver_has_none) {
  EXPECT_EQ(warnings_of_hues(reviewed({.film = simulator::black_and_white_film()})), 0);
}

TEST(FilmHues, silver_has_none_where_the_scanner_is_none_of_the_best) {
  EXPECT_EQ(warnings_of_hues(reviewed(
                {.film = simulator::black_and_white_film(), .apart = 0.5, .tinted = 0.04})),
            0);
}

// Dyes that come together make a tone, of unlike strength in the three channels: chromogenic film,
// or silver in a developer that stains.
TEST(FilmHues, a_tone_is_no_hue) {
  simulator::Film film = simulator::colour_film({}, "160");
  film.layers = {film.layers[1], film.layers[1], film.layers[1]};
  film.layers[0].scale(0.85);
  film.layers[2].scale(1.25);
  EXPECT_EQ(warnings_of_hues(reviewed({.film = film, .panchromatic = true})), 0);
}

// A real scanner and a film of one dye [Dosepy]: strips of even exposure, the first of them none.
TEST(FilmHues, real_film_of_one_dye_has_none) {
  for (const char* name : {"first_whole.tif", "second_whole.tif"}) {
    const density::ScanRecord record =
        density::measure_scan(std::filesystem::path(BASEFOG_TEST_DATA) / "radiochromic" / name);
    ASSERT_EQ(record.frames.size(), 6u);
    const density::ApertureGrid& clear = record.frames.front().apertures;
    density::FilmBase base;
    for (int c = 0; c < 3; ++c) {
      base.density.push_back(Density::from_value(numeric::median(clear.densities(c))));
    }
    int judged = 0;
    for (const density::FrameMeasurement& frame : record.frames) {
      const auto spread = evidence::hue_spread(frame, base);
      if (!spread) continue;
      ++judged;
      EXPECT_LT(*spread, 0.015) << name << ' ' << frame.index;
    }
    EXPECT_GE(judged, 3) << name;
  }
}

}  // namespace
}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
// The simulator is what other tests take for the truth, so it is held against arithmetic and
// published figures itself. No panorama files are needed: scenes are made up here.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "simulator/blemishes.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/layout.hpp"
#include "simulator/scan_file.hpp"
#include "simulator/scanner.hpp"
#include "simulator/truth.hpp"

namespace {

using namespace simulator;  // NOLINT: every name here is the simulator's

constexpr double kStop = 0.30103;
const cv::Size kSmall(144, 96);

Shot stepless(const Camera& camera, const Panorama& scene, double compensation = 0) {
  Wish wish;
  wish.mode = Mode::aperture_priority;
  wish.compensation = compensation;
  return take(scene, {}, kSmall, camera, wish);
}

/// Density of clean clear film as a scan reads it: median code beside the picture.
double median_density(const ScanImage& scan, const cv::Rect& where, double full_scale) {
  std::vector<double> values;
  for (int y = where.y; y < where.br().y; ++y) {
    for (int x = where.x; x < where.br().x; ++x) {
      values.push_back(scan.codes.at<std::uint16_t>(y, x) / full_scale);
    }
  }
  std::nth_element(values.begin(), values.begin() + values.size() / 2, values.end());
  return -std::log10(values[values.size() / 2]);
}

TEST(SimulatedCamera, TrueMeterPutsTheMeteredMeanAtTheAim) {
  // [ISO2720] H = q K / S = 8.125 / S.
  EXPECT_NEAR(aim_lux_seconds(100), 0.08125, 1e-12);
  const Film film = black_and_white_film();
  for (const Pattern pattern : {Pattern::average, Pattern::centre_weighted, Pattern::spot}) {
    Camera camera;
    camera.meter.pattern = pattern;
    const Shot shot = stepless(camera, lit(disc_panorama(20, 4), 9));
    EXPECT_NEAR(truth_of(shot, film, camera.meter).exposure, 0, 1e-3);
  }
}

TEST(SimulatedCamera, BiasCompensationAndShutterErrorAddUp) {
  const Film film = black_and_white_film();
  Camera camera;
  camera.meter.bias_stops = -0.67;
  for (Mark& mark : camera.shutter) mark.error_stops = 0.4;
  const Shot shot = stepless(camera, lit(gradient_panorama(8), 12), 1.0);
  EXPECT_NEAR(truth_of(shot, film, camera.meter).exposure, 1.0 - 0.67 + 0.4, 1e-3);
}

TEST(SimulatedCamera, ManualExposureIsWithinHalfAMark) {
  const Film film = black_and_white_film();
  const Camera camera;
  for (int i = 0; i < 19; ++i) {
    const double ev = 8 + 0.37 * i;
    const Shot shot = take(lit(uniform_panorama(), ev), {}, kSmall, camera, {});
    const double exposure = truth_of(shot, film, camera.meter).exposure;
    EXPECT_LE(std::abs(exposure), 0.25 + 1e-3) << "EV " << ev;
    EXPECT_NEAR(exposure, shot.asked_stops, 1e-3);
  }
}

TEST(SimulatedCamera, FullSunAsksForThePublishedSettings) {
  // [PH2.7] EV 15 for a scene in full sun: f/16 at 1/125 on ISO 100.
  Camera camera;
  camera.exposure_index = 100;
  camera.lens = {0, 0};
  const Shot shot = take(lit(uniform_panorama(), 15), {}, kSmall, camera, {Mode::manual, "16"});
  EXPECT_EQ(shot.logged_shutter, "1/125");
  EXPECT_EQ(shot.logged_aperture, "16");
  EXPECT_NEAR(shot.asked_stops, 0, 1e-6);
}

TEST(SimulatedCamera, NaturalFallOffIsCosineToTheFourth) {
  // cos^4 of 30 degrees is 0.5625.
  Camera camera;
  camera.lens = {1.0, 0.0};
  const View view{0, 0, 0, 60};
  const Shot shot = take(lit(uniform_panorama(), 10), view, {1001, 3}, camera, {});
  const double edge = shot.exposure.at<cv::Vec3f>(1, 0)[1];
  const double middle = shot.exposure.at<cv::Vec3f>(1, 500)[1];
  EXPECT_NEAR(edge / middle, 0.5625, 0.002);
}

TEST(SimulatedPanorama, ViewsKeepLeftAndRightAndUp) {
  const Panorama right_bright = gradient_panorama(6);
  const cv::Mat picture = luminance(look(right_bright, {0, 0, 0, 60}, kSmall));
  EXPECT_GT(picture.at<float>(48, 140), 2 * picture.at<float>(48, 3));
  // Yaw 45 sees what is a quarter of the range brighter: 6/4 stops over the middle.
  const cv::Mat turned = luminance(look(right_bright, {45, 0, 0, 60}, kSmall));
  EXPECT_NEAR(std::log2(turned.at<float>(48, 72) / picture.at<float>(48, 72)), 1.5, 0.05);
  // A disc straight ahead moves down when the camera looks up, and keeps its size.
  const cv::Mat up = luminance(look(disc_panorama(10, 5), {0, 15, 0, 60}, kSmall));
  cv::Point brightest;
  cv::minMaxLoc(up, nullptr, nullptr, nullptr, &brightest);
  EXPECT_GT(brightest.y, 60);
  const cv::Mat disc = luminance(look(disc_panorama(20, 5), {}, kSmall)) > 4;
  const double expected = std::tan(10 * CV_PI / 180) / std::tan(30 * CV_PI / 180) * kSmall.width;
  EXPECT_NEAR(std::sqrt(cv::countNonZero(disc) / CV_PI) * 2, expected, 1.0);
}

TEST(SimulatedFilm, MeetsTheIso6Triangle) {
  // [ISO6] 0.10 above base at 0.8 / S; 0.80 more after 1.30 log H.
  for (const double iso : {100.0, 400.0}) {
    FilmRecipe recipe;
    recipe.iso = iso;
    const Film film = black_and_white_film(recipe);
    EXPECT_NEAR(film.net_density(std::log10(0.8 / iso)), 0.10, 1e-6);
    EXPECT_NEAR(film.net_density(std::log10(0.8 / iso) + 1.30), 0.90, 1e-4);
    EXPECT_GT(film.highlight_limit(), film.speed_point() + 2);
  }
}

TEST(SimulatedFilm, FollowsTheMeasuredWedge) {
  // [StepWedge] 8.5 min is within a hair of ISO 6 contrast: readings above base 0.11 at relative
  // log exposures 1.20, 1.80, 2.40 and 3.00 are 0.34, 0.72, 1.10, 1.45, and 0.10 falls at 0.80.
  const Film film = black_and_white_film();
  const double zero = film.speed_point() - 0.80;
  EXPECT_NEAR(film.net_density(zero + 1.20), 0.34, 0.02);
  EXPECT_NEAR(film.net_density(zero + 1.80), 0.72, 0.02);
  EXPECT_NEAR(film.net_density(zero + 2.40), 1.10, 0.02);
  EXPECT_NEAR(film.net_density(zero + 3.00), 1.45, 0.02);
}

TEST(SimulatedFilm, DevelopmentChangesContrastOnly) {
  for (const double rise : {0.65, 0.72, 0.88, 0.95}) {
    FilmRecipe recipe;
    recipe.rise = rise;
    recipe.toe_length = 0.03;
    const Film film = black_and_white_film(recipe);
    EXPECT_NEAR(film.rise(), rise, 1e-3);
    EXPECT_NEAR(film.speed_point(), std::log10(0.8 / 400), 1e-6);
  }
}

TEST(SimulatedFilm, DensityNeverFallsWithExposure) {
  for (const Film& film : {black_and_white_film(), colour_film(), colour_film({}, "100")}) {
    for (const LayerCurve& layer : film.layers) {
      for (int i = 0; i < 800; ++i) {
        const double log_h = -5 + 0.01 * i;
        ASSERT_GE(layer.net_density(log_h + 0.01), layer.net_density(log_h) - 1e-9);
      }
    }
  }
}

TEST(SimulatedFilm, ColourStopLadderMatchesThePublishedCurve) {
  // [KodakE4050] densities R, G, B at Log H Ref -1.44 and one stop around it (digitised,
  // secondary): 0.722 1.193 1.568; 0.883 1.358 1.758; 1.049 1.528 1.951. The published curves give
  // a speed of 392.6 by ISO 5800.
  FilmRecipe recipe;
  recipe.iso = 392.6;
  const Film film = colour_film(recipe, "400");
  const double expected[3][3] = {
      {0.722, 1.193, 1.568}, {0.883, 1.358, 1.758}, {1.049, 1.528, 1.951}};
  for (int stop = -1; stop <= 1; ++stop) {
    for (std::size_t c = 0; c < 3; ++c) {
      EXPECT_NEAR(film.base[c] + film.layers[c].net_density(-1.44 + stop * kStop),
                  expected[stop + 1][c], 0.01);
    }
  }
}

TEST(SimulatedFilm, GrainMeetsItsGranularity) {
  // [Selwyn] RMS granularity 10: a standard deviation of 0.010 through a circle of 48 micrometres,
  // so that a square pixel of the same area has the same.
  const Film film = black_and_white_film();
  const double pixel = 0.048 * std::sqrt(CV_PI) / 2;
  cv::Mat flat(300, 300, CV_32FC1, cv::Scalar(film.base[0] + 1.0));
  add_grain(flat, film, 0, pixel, 7);
  cv::Scalar mean;
  cv::Scalar sigma;
  cv::meanStdDev(flat, mean, sigma);
  EXPECT_NEAR(mean[0], film.base[0] + 1.0, 2e-4);
  EXPECT_NEAR(sigma[0], 0.010, 0.0005);
}

TEST(SimulatedFilm, LongTimesLoseExposureAsPublished) {
  // [MakerReciprocity] P = 1.31 for one film: 10 s metered needs 20.4 s.
  Film film = black_and_white_film();
  film.reciprocity_exponent = 1.31;
  EXPECT_NEAR(20.42 * reciprocity_factor(film, 20.42), 10, 0.01);
  EXPECT_EQ(reciprocity_factor(film, 0.5), 1);
}

TEST(SimulatedScan, BaseReadsBackFromTheRebate) {
  const Film film = black_and_white_film();
  const Shot shot = stepless(Camera(), lit(gradient_panorama(6), 12));
  Scanner scanner;
  scanner.flare = 0;
  const ScanImage image = scan(one_frame(shot.exposure, film_format("24x36")), film, scanner, 1);
  // The left rebate: beyond 1.3 mm of mask, before the frame's corner.
  const int left = static_cast<int>(1.3 / scanner.pixel_mm) + 3;
  const int right = static_cast<int>(image.frames[0].corners[0].x) - 3;
  const double read = median_density(image, {left, 60, right - left, 400}, 65535);
  EXPECT_NEAR(read, -std::log10(image.base_light[0]), 0.002);
  EXPECT_NEAR(read + std::log10(1.5), film.base[0], 0.002);
  // The holder is black.
  EXPECT_GT(median_density(image, {2, 2, 18, 400}, 65535), 3);
}

TEST(SimulatedScan, OneStopMoreIsOneStopMoreAndDenser) {
  const Film film = black_and_white_film();
  const Panorama scene = lit(gradient_panorama(4), 12);
  const Camera camera;
  const Shot normal = stepless(camera, scene);
  const Shot more = stepless(camera, scene, 1);
  const FrameTruth a = truth_of(normal, film, camera.meter);
  const FrameTruth b = truth_of(more, film, camera.meter);
  EXPECT_NEAR(b.exposure - a.exposure, 1, 1e-3);
  EXPECT_NEAR(b.shadow_reserve - a.shadow_reserve, 1, 1e-3);
  EXPECT_NEAR(a.highlight_room - b.highlight_room, 1, 1e-3);
  EXPECT_LE(b.correction, a.correction);
  const Bed bed_a = one_frame(normal.exposure, film_format("24x36"));
  const Bed bed_b = one_frame(more.exposure, film_format("24x36"));
  EXPECT_GT(cv::mean(scan(bed_a, film, {}, 1).codes)[0],
            1.2 * cv::mean(scan(bed_b, film, {}, 1).codes)[0]);
}

TEST(SimulatedScan, SameSeedSameScan) {
  const Film film = black_and_white_film();
  const Bed bed =
      one_frame(stepless(Camera(), lit(disc_panorama(30, 3), 12)).exposure, film_format("24x36"));
  Scanner scanner;
  scanner.pixel_mm = 0.1;
  const cv::Mat a = scan(bed, film, scanner, 5).codes;
  EXPECT_EQ(cv::norm(a, scan(bed, film, scanner, 5).codes, cv::NORM_INF), 0);
  EXPECT_GT(cv::norm(a, scan(bed, film, scanner, 6).codes, cv::NORM_INF), 0);
}

TEST(SimulatedScan, OutlineFollowsTheTurnedFilm) {
  const Film film = black_and_white_film();
  Seat seat;
  seat.angle_degrees = 2;
  const Shot shot = stepless(Camera(), lit(uniform_panorama(), 12));
  Scanner scanner;
  scanner.flare = 0;
  const ScanImage image =
      scan(one_frame(shot.exposure, film_format("24x36"), seat), film, scanner, 1);
  const auto& c = image.frames[0].corners;
  EXPECT_NEAR(cv::norm(c[1] - c[0]) * scanner.pixel_mm, 36, 1e-6);
  EXPECT_NEAR(cv::norm(c[3] - c[0]) * scanner.pixel_mm, 24, 1e-6);
  // Counter-clockwise as seen: the right end is higher.
  EXPECT_NEAR(std::atan2(c[0].y - c[1].y, c[1].x - c[0].x) * 180 / CV_PI, 2, 1e-6);
  // Just inside the left edge it is dark (picture), just outside bright (rebate).
  const cv::Point2d middle = (c[0] + c[3]) / 2;
  const cv::Point2d inward = (c[1] - c[0]) / cv::norm(c[1] - c[0]);
  const auto code = [&](double distance) {
    const cv::Point2d p = middle + inward * distance;
    return image.codes.at<std::uint16_t>(static_cast<int>(p.y), static_cast<int>(p.x));
  };
  EXPECT_GT(code(-4), 2 * code(4));
}

TEST(SimulatedScan, FlareCapsDensity) {
  // A share of the mean light added everywhere: at 1 % and a scan that is half clear, the black of
  // the holder cannot be darker than about half of that.
  const Film film = black_and_white_film();
  Scanner scanner;
  scanner.flare = 0.01;
  scanner.gain = {1.0};
  const ScanImage image = scan(one_frame(cv::Mat(), film_format("24x36")), film, scanner, 1);
  const double clear = std::pow(10, -film.base[0]);
  const double black = std::pow(10, -median_density(image, {2, 2, 6, 400}, 65535));
  EXPECT_GT(black, 0.5 * 0.01 * clear * 0.7);
  EXPECT_LT(black, 0.012 * clear);
}

TEST(SimulatedScan, SheetHasEveryFrameAndBareLight) {
  const Film film = colour_film();
  const Shot shot = stepless(Camera(), lit(disc_panorama(30, 3), 12));
  Strip strip;
  strip.frames = {shot.exposure, cv::Mat(), shot.exposure};
  Scanner scanner;
  scanner.pixel_mm = 0.2;
  scanner.channels = 3;
  scanner.gain = {0.9};
  Negative negative = lay_out(sheet({strip, strip}, 4, true, {0.5, -0.5}), film, 0.2);
  add_dust(negative, 5, 3);
  add_scratches(negative, 4, 3, 90);
  const ScanImage image = scan(negative, film, scanner, 1);
  ASSERT_EQ(image.frames.size(), 6);
  EXPECT_TRUE(image.frames[1].blank);
  // Corner of the sheet: bare light in all three.
  const auto bare = image.codes.at<cv::Vec<std::uint16_t, 3>>(3, 3);
  for (int c = 0; c < 3; ++c) EXPECT_NEAR(bare[c] / 65535.0, 0.9, 0.03);
  // The blank frame: clear film, orange: red passes, blue is held back by the mask.
  const cv::Point2d middle = (image.frames[1].corners[0] + image.frames[1].corners[2]) / 2;
  const auto base = image.codes.at<cv::Vec<std::uint16_t, 3>>(static_cast<int>(middle.y),
                                                              static_cast<int>(middle.x));
  EXPECT_NEAR(-std::log10(base[0] / 65535.0 / 0.9), film.base[0], 0.03);
  EXPECT_NEAR(-std::log10(base[2] / 65535.0 / 0.9), film.base[2], 0.06);
}

TEST(SimulatedScan, CroppedScanShowsOnlyPicture) {
  const Film film = black_and_white_film();
  Seat seat;
  seat.angle_degrees = 1.5;
  const Shot shot = stepless(Camera(), lit(uniform_panorama(), 12));
  const ScanImage whole = scan(one_frame(shot.exposure, film_format("24x36"), seat), film, {}, 1);
  const ScanImage cut = cropped(whole, 0);
  double low = 0;
  double high = 0;
  cv::Mat smooth;
  cv::blur(cut.codes, smooth, {5, 5});
  cv::minMaxLoc(smooth, &low, &high);
  EXPECT_LT(high / low, 3);  // neither rebate nor mask
}

TEST(SimulatedTruth, VerdictsAndPercentilesOfAKnownFrame) {
  // Half of the frame 2 stops above the speed point, half 6: by hand, percentile 2 is 2, 98 is 6.
  const Film film = black_and_white_film();
  Shot shot = no_light({72, 48});
  const double low = std::pow(10, film.speed_point());
  shot.exposure.colRange(0, 36).setTo(cv::Scalar::all(low * 4));
  shot.exposure.colRange(36, 72).setTo(cv::Scalar::all(low * 64));
  Meter meter;
  meter.pattern = Pattern::average;
  const FrameTruth truth = truth_of(shot, film, meter);
  EXPECT_NEAR(truth.shadow_reserve, 2, 1e-4);
  EXPECT_NEAR(truth.highlight_reach, 6, 1e-4);
  EXPECT_NEAR(truth.exposure, std::log2(34 / (8.125 / 0.8)), 1e-4);
  EXPECT_NEAR(truth.correction, -truth.exposure, 0.011);  // nothing is lost: the aim decides
  EXPECT_EQ(verdict_of(0.49), "well_exposed");
  EXPECT_EQ(verdict_of(0.5), "under");
  EXPECT_EQ(verdict_of(-1.5), "strongly_over");
}

TEST(SimulatedFile, ProfileIsTheSameOnEveryRun) {
  ScanImage image;
  image.codes = cv::Mat::zeros(4, 4, CV_16UC1);
  const std::vector<std::uint8_t> bytes = icc_profile(image);
  ASSERT_GT(bytes.size(), 128U);
  const std::vector<std::uint8_t> date = {7, 0xd0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0};
  EXPECT_TRUE(std::equal(date.begin(), date.end(), bytes.begin() + 24));
}

}  // namespace

// SPDX-License-Identifier: GPL-3.0-or-later
// Blur found in drawn pictures: patches that cover each other at random, blurred on the film along
// a line or by a disc, with grain on top that the blur does not touch.
#include "basefog/blur.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <opencv2/imgproc.hpp>

#include "basefog/film_area.hpp"
#include "basefog/scan.hpp"
#include "simulator/film.hpp"
#include "simulator/layout.hpp"
#include "simulator/scan_file.hpp"
#include "test_folder.hpp"

namespace basefog {
namespace {

constexpr int kFine = 4;  ///< fine pixels to one of the picture
constexpr int kWidth = 720;
constexpr int kHeight = 480;

/// Densities of patches of every size and direction, on the fine grid.
cv::Mat patches(int seed) {
  cv::RNG random(static_cast<std::uint64_t>(seed));
  cv::Mat picture(kHeight * kFine, kWidth * kFine, CV_32F, cv::Scalar(0.5));
  for (int i = 0; i < 260; ++i) {
    const cv::RotatedRect box(
        cv::Point2f(random.uniform(0.0F, static_cast<float>(picture.cols)),
                    random.uniform(0.0F, static_cast<float>(picture.rows))),
        cv::Size2f(random.uniform(80.0F, 500.0F), random.uniform(80.0F, 500.0F)),
        random.uniform(0.0F, 180.0F));
    std::array<cv::Point2f, 4> corners;
    box.points(corners.data());
    std::array<cv::Point, 4> whole;
    for (std::size_t k = 0; k < 4; ++k) whole.at(k) = corners.at(k);
    cv::fillConvexPoly(picture, whole.data(), 4, cv::Scalar(random.uniform(0.2, 1.4)));
  }
  return picture;
}

/// The light that makes such densities, and the densities that such light makes: the camera smears
/// light, on a film of gradient 0.6.
cv::Mat light_of(const cv::Mat& density) {
  cv::Mat light;
  cv::exp(density * (std::log(10.0) / 0.6), light);
  return light;
}
cv::Mat density_of(const cv::Mat& light) {
  cv::Mat density;
  cv::log(light, density);
  return density * (0.6 / std::log(10.0));
}

/// Smears light along a line of `length` picture pixels.
cv::Mat shaken(const cv::Mat& fine, double length, double degrees) {
  const int reach = static_cast<int>(std::ceil(length * kFine / 2)) + 1;
  cv::Mat kernel(2 * reach + 1, 2 * reach + 1, CV_32F, cv::Scalar(0));
  const double a = degrees * CV_PI / 180;
  for (double s = -length * kFine / 2; s <= length * kFine / 2; s += 0.25) {
    kernel.at<float>(reach + static_cast<int>(std::lround(s * std::sin(a))),
                     reach + static_cast<int>(std::lround(s * std::cos(a)))) += 1;
  }
  kernel /= cv::sum(kernel)[0];
  cv::Mat result;
  cv::filter2D(fine, result, -1, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  return result;
}

/// Spreads light over a disc.
cv::Mat defocused(const cv::Mat& fine, double diameter) {
  const int reach = static_cast<int>(std::ceil(diameter * kFine / 2));
  cv::Mat kernel(2 * reach + 1, 2 * reach + 1, CV_32F, cv::Scalar(0));
  cv::circle(kernel, {reach, reach}, reach, cv::Scalar(1), cv::FILLED);
  kernel /= cv::sum(kernel)[0];
  cv::Mat result;
  cv::filter2D(fine, result, -1, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  return result;
}

cv::Mat with_grain(cv::Mat fine, double sigma, int seed) {
  cv::RNG random(static_cast<std::uint64_t>(seed));
  cv::Mat grain(fine.size(), CV_32F);
  random.fill(grain, cv::RNG::NORMAL, 0, sigma * kFine);
  return fine + grain;
}

NegativePicture scanned(const cv::Mat& fine) {
  cv::Mat small;
  cv::resize(fine, small, {kWidth, kHeight}, 0, 0, cv::INTER_AREA);
  NegativePicture negative{kWidth, kHeight, 1, {}};
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      negative.millidensity.push_back(
          static_cast<std::uint16_t>(std::lround(1000 * std::max(0.0F, small.at<float>(y, x)))));
    }
  }
  return negative;
}

constexpr double kGrain = 0.008;

TEST(Blur, sharp_picture_is_sharp) {
  for (int seed : {1, 2, 3}) {
    const BlurReading blur = read_blur(scanned(with_grain(patches(seed), kGrain, seed + 10)));
    EXPECT_EQ(blur.finding, BlurFinding::sharp)
        << blur.least_width * kWidth << " to " << blur.greatest_width * kWidth;
    ASSERT_TRUE(blur.grain_correlation);
    EXPECT_LT(std::abs(*blur.grain_correlation), 0.15);
  }
}

TEST(Blur, movement_shows_with_its_direction) {
  for (double degrees : {0.0, 30.0, 90.0, 135.0}) {
    const cv::Mat moved = density_of(shaken(light_of(patches(4)), 6, degrees));
    const BlurReading blur = read_blur(scanned(with_grain(moved, kGrain, 14)));
    EXPECT_EQ(blur.finding, BlurFinding::moved)
        << degrees << ": " << blur.least_width * kWidth << " to " << blur.greatest_width * kWidth;
    const double off = std::abs(blur.direction_degrees - degrees);
    EXPECT_LE(std::min(off, 180 - off), 31) << degrees;
  }
}

TEST(Blur, defocus_has_no_direction) {
  for (int seed : {5, 6}) {
    const cv::Mat soft = density_of(defocused(light_of(patches(seed)), 7));
    const BlurReading blur = read_blur(scanned(with_grain(soft, kGrain, seed + 10)));
    EXPECT_EQ(blur.finding, BlurFinding::out_of_focus)
        << blur.least_width * kWidth << " to " << blur.greatest_width * kWidth;
  }
}

// The same softness over picture and grain is the scan's.
TEST(Blur, soft_scan_is_not_laid_on_the_camera) {
  const cv::Mat soft = defocused(with_grain(patches(7), 4 * kGrain, 17), 7);
  EXPECT_EQ(read_blur(scanned(soft)).finding, BlurFinding::soft_scan);
}

TEST(Blur, cannot_tell_without_edges_or_without_grain) {
  const cv::Mat even(kHeight * kFine, kWidth * kFine, CV_32F, cv::Scalar(0.6));
  EXPECT_EQ(read_blur(scanned(with_grain(even, kGrain, 1))).finding, BlurFinding::cannot_tell);
  EXPECT_EQ(read_blur(scanned(defocused(patches(8), 7))).finding, BlurFinding::cannot_tell);
  EXPECT_EQ(read_blur({}).finding, BlurFinding::cannot_tell);
}

/// Photographs the patches with a shaken or a still camera on film, scans it to a file of 1270
/// pixels an inch, and reads that.
BlurReading photographed(int seed, double shake_mm, double degrees) {
  cv::Mat exposure = light_of(patches(seed)) * 0.002;  // lux seconds
  if (shake_mm > 0) exposure = shaken(exposure, shake_mm / 36 * kWidth, degrees);
  const simulator::Bed bed = simulator::one_frame(exposure, simulator::film_format("24x36"));
  simulator::Scanner scanner;
  scanner.pixel_mm = 0.02;
  const std::filesystem::path file = test::test_folder() / "blur.tif";
  simulator::write_tiff(file, simulator::scan(bed, simulator::black_and_white_film({.iso = 400}),
                                              scanner, static_cast<std::uint64_t>(seed)));
  const Scan scan = read_scan(file);
  std::filesystem::remove(file);
  const std::vector<FrameMeasurement> frames = measure_frames(scan, find_film(scan));
  return frames.size() == 1 ? read_blur(frames.front().negative) : BlurReading{};
}

TEST(Blur, of_a_shaken_camera_is_found_through_film_and_scan) {
  for (int seed : {21, 22}) {
    const BlurReading still = photographed(seed, 0, 0);
    EXPECT_EQ(still.finding, BlurFinding::sharp)
        << name_of(still.finding) << still.least_width * kWidth << " to "
        << still.greatest_width * kWidth;
    const BlurReading shaken = photographed(seed, 0.3, 90);
    EXPECT_EQ(shaken.finding, BlurFinding::moved)
        << name_of(shaken.finding) << shaken.least_width * kWidth << " to "
        << shaken.greatest_width * kWidth;
    EXPECT_NEAR(shaken.direction_degrees, 90, 31);
  }
}

// Slowest safe time about 1/f s (common practice).
TEST(Blur, text_joins_time_and_picture) {
  BlurReading blur;
  const auto slow = ShutterTime(1.0 / 15);
  const auto limit = ShutterTime(1.0 / 60);
  EXPECT_EQ(blur_text(blur, slow, limit), "");
  blur.finding = BlurFinding::sharp;
  EXPECT_EQ(blur_text(blur, limit, limit), "");
  EXPECT_NE(blur_text(blur, slow, limit).find("does not show"), std::string::npos);
  blur.finding = BlurFinding::moved;
  EXPECT_NE(blur_text(blur, slow, limit).find("and it shows"), std::string::npos);
  EXPECT_EQ(blur_text(blur, limit, limit).find("limit"), std::string::npos);
}

}  // namespace
}  // namespace basefog

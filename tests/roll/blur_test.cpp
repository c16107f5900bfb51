// SPDX-License-Identifier: GPL-3.0-or-later
// Blur found in drawn pictures: patches that cover each other at random, blurred on the film along
// a line or by a disc, with grain on top that the blur does not touch.
#include "basefog/blur.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

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

/// Smears along a line of `length` picture pixels.
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
    const cv::Mat moved = shaken(patches(4), 6, degrees);
    const BlurReading blur = read_blur(scanned(with_grain(moved, kGrain, 14)));
    EXPECT_EQ(blur.finding, BlurFinding::moved)
        << degrees << ": " << blur.least_width * kWidth << " to " << blur.greatest_width * kWidth;
    const double off = std::abs(blur.direction_degrees - degrees);
    EXPECT_LE(std::min(off, 180 - off), 31) << degrees;
  }
}

TEST(Blur, defocus_has_no_direction) {
  for (int seed : {5, 6}) {
    const cv::Mat soft = defocused(patches(seed), 7);
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

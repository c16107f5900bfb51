// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/tablet/scanner_calibration.hpp"

namespace basefog::tablet {
namespace {

using ::testing::HasSubstr;

/// A scan of a step tablet, drawn point by point.
struct DrawnTablet {
  std::string name;
  int width = 2400;  ///< pixels
  int height = 800;
  int steps = 21;
  double increment = 0.15;
  double pitch = 90;  ///< pixels
  double across = 200;
  double angle_degrees = 0;  ///< of the direction in which the density rises, clockwise
  double surround = 1.0;     ///< light beside the tablet
  double gap = 0;            ///< share of the pitch between patches, as light as gap_light
  double gap_light = 0;
  bool figures = false;  ///< numbers on the patches
  double noise = 2e-4;   ///< of a pixel's code
  double black = 0.002;
  double exponent = 1.0;
  double exposure = 0.85;
  int channels = 1;
  double fall_off = 0;  ///< share of the light that is lost at the far corner
  int dust = 0;         ///< dark specks of up to 12 pixels on the tablet and beside it
  double border = 0;    ///< pitches of a frame about the tablet, as light as border_light
  double border_light = 0;
};

std::ostream& operator<<(std::ostream& out, const DrawnTablet& t) { return out << t.name; }

struct Speck {
  double x;
  double y;
  double radius;  ///< pixels
};

std::vector<Speck> specks_on(const DrawnTablet& t) {
  std::mt19937 random(60);
  std::uniform_real_distribution<double> share(0, 1);
  std::vector<Speck> specks;
  for (int i = 0; i < t.dust; ++i)
    specks.push_back({share(random) * t.width, share(random) * t.height, 2 + 4 * share(random)});
  return specks;
}

/// Share of the light that dust and the lamp's unevenness leave.
double share_left(const DrawnTablet& t, const std::vector<Speck>& specks, double x, double y) {
  for (const Speck& speck : specks) {
    if (std::hypot(x - speck.x, y - speck.y) < speck.radius) return 0;
  }
  return 1 - t.fall_off * (x / t.width + y / t.height) / 2;
}

double light_at(const DrawnTablet& t, double x, double y) {
  const double angle = t.angle_degrees * std::numbers::pi / 180;
  const double dx = x - t.width / 2.0;
  const double dy = y - t.height / 2.0;
  const double u = dx * std::cos(angle) + dy * std::sin(angle) + t.pitch * t.steps / 2;
  const double v = dy * std::cos(angle) - dx * std::sin(angle);
  const double step = std::floor(u / t.pitch);
  const double frame = t.border * t.pitch;
  if (step < 0 || step >= t.steps || std::abs(v) > t.across / 2) {
    const bool framed =
        u > -frame && u < t.pitch * t.steps + frame && std::abs(v) < t.across / 2 + frame;
    return framed ? t.border_light : t.surround;
  }
  const double within = u / t.pitch - step;
  if (within < t.gap / 2 || within > 1 - t.gap / 2) return t.gap_light;
  if (t.figures && v > t.across * 0.38 && within > 0.4 && within < 0.6) return 0.001;
  return std::pow(10, -(0.05 + t.increment * step));
}

scan::Scan draw(const DrawnTablet& t) {
  constexpr int kSide = 4;
  constexpr int kSamples = 2;  // a side of a block
  scan::Scan scan;
  scan.path = "tablet.tif";
  scan.width = t.width;
  scan.height = t.height;
  decode::BlockImage& blocks = scan.blocks;
  blocks.width = t.width / kSide;
  blocks.height = t.height / kSide;
  blocks.channels = t.channels;
  blocks.block_side = kSide;
  const std::size_t count = static_cast<std::size_t>(blocks.width) * blocks.height * t.channels;
  blocks.mean.resize(count);
  blocks.variance.assign(count, static_cast<float>(t.noise * t.noise));
  blocks.clipped.resize(count);
  blocks.floored.resize(count);
  const std::vector<Speck> specks = specks_on(t);
  std::mt19937 random(1888);
  std::normal_distribution<float> normal(0, static_cast<float>(t.noise / kSide));
  for (int c = 0; c < t.channels; ++c) {
    const double exposure = t.exposure * (1 - 0.2 * c);
    for (int y = 0; y < blocks.height; ++y) {
      for (int x = 0; x < blocks.width; ++x) {
        double code = 0;
        for (int s = 0; s < kSamples * kSamples; ++s) {
          const double px = (x + (s % kSamples + 0.5) / kSamples) * kSide;
          const double py = (y + (s / kSamples + 0.5) / kSamples) * kSide;
          code += t.black + exposure * std::pow(light_at(t, px, py) * share_left(t, specks, px, py),
                                                t.exponent);
        }
        code = code / (kSamples * kSamples) + normal(random);
        const std::size_t i = blocks.index(c, x, y);
        blocks.mean[i] = static_cast<float>(std::clamp(code, 0.0, 1.0));
        blocks.clipped[i] = code >= 1 ? 255 : 0;
      }
    }
  }
  return scan;
}

std::vector<Density> densities_of(const DrawnTablet& t) {
  std::vector<Density> densities;
  for (int i = 0; i < t.steps; ++i)
    densities.push_back(Density::from_value(0.05 + t.increment * i));
  return densities;
}

DrawnTablet with(std::string name, void (*change)(DrawnTablet&)) {
  DrawnTablet t;
  t.name = std::move(name);
  change(t);
  return t;
}

class FindTabletPatches : public ::testing::TestWithParam<DrawnTablet> {};

TEST_P(FindTabletPatches, each_within_its_step_and_calibrates_the_scanner) {
  const DrawnTablet& t = GetParam();
  const scan::Scan scan = draw(t);
  const std::vector<PatchRegion> regions = find_tablet_patches(scan, t.steps);
  ASSERT_EQ(regions.size(), static_cast<std::size_t>(t.steps));
  const double angle = t.angle_degrees * std::numbers::pi / 180;
  for (int k = 0; k < t.steps; ++k) {
    const double along = (k + 0.5 - t.steps / 2.0) * t.pitch;
    const PatchRegion& region = regions[static_cast<std::size_t>(k)];
    EXPECT_NEAR(region.centre_x, t.width / 2.0 + along * std::cos(angle), 0.2 * t.pitch) << k;
    EXPECT_NEAR(region.centre_y, t.height / 2.0 + along * std::sin(angle), 0.2 * t.pitch) << k;
  }
  const std::vector<TabletPatch> patches = measure_patches(scan, regions, densities_of(t));
  const ScannerCalibration calibration = calibrate_scanner(patches);
  ASSERT_EQ(calibration.channels.size(), static_cast<std::size_t>(t.channels));
  for (const ChannelCalibration& channel : calibration.channels) {
    EXPECT_NEAR(channel.exponent, t.exponent, 0.02);
    EXPECT_NEAR(channel.black, t.black, 5e-4);
    EXPECT_LT(channel.worst_residual.value(), 0.03);
    EXPECT_GT(channel.densest.value(), 2.0);
  }
}

std::vector<DrawnTablet> drawn_tablets() {
  return {with("on_bare_light", [](DrawnTablet&) {}),
          with("in_a_dark_holder", [](DrawnTablet& t) { t.surround = 0.0; }),
          with("steps_31",
               [](DrawnTablet& t) {
                 t.steps = 31;
                 t.increment = 0.10;
                 t.pitch = 70;
               }),
          with("densest_first", [](DrawnTablet& t) { t.angle_degrees = 180; }),
          with("upright",
               [](DrawnTablet& t) {
                 std::swap(t.width, t.height);
                 t.angle_degrees = 90;
               }),
          with("upside_down_in_a_holder",
               [](DrawnTablet& t) {
                 std::swap(t.width, t.height);
                 t.angle_degrees = 270;
                 t.surround = 0.0;
               }),
          with("turned_2_degrees", [](DrawnTablet& t) { t.angle_degrees = 2; }),
          with("turned_back_3_degrees_upright",
               [](DrawnTablet& t) {
                 std::swap(t.width, t.height);
                 t.angle_degrees = 87;
               }),
          with("dark_gaps", [](DrawnTablet& t) { t.gap = 0.15; }),
          with("light_gaps",
               [](DrawnTablet& t) {
                 t.gap = 0.15;
                 t.gap_light = 1.0;
               }),
          with("turned_dusty_and_uneven",
               [](DrawnTablet& t) {
                 t.width = 2100;
                 t.height = 400;
                 t.angle_degrees = 2;
                 t.fall_off = 0.04;
                 t.dust = 100;
               }),
          with("figures", [](DrawnTablet& t) { t.figures = true; }),
          with("filling_the_scan",
               [](DrawnTablet& t) {
                 t.width = 1890;
                 t.height = 200;
               }),
          with("small_on_a_large_bed",
               [](DrawnTablet& t) {
                 t.pitch = 40;
                 t.across = 70;
               }),
          with("display_gamma", [](DrawnTablet& t) { t.exponent = 1 / 2.2; }),
          with("colour", [](DrawnTablet& t) { t.channels = 3; })};
}

INSTANTIATE_TEST_SUITE_P(Drawn, FindTabletPatches, ::testing::ValuesIn(drawn_tablets()),
                         [](const auto& instance) { return instance.param.name; });

TEST(FindTabletPatchesRefusal, where_there_is_no_tablet) {
  DrawnTablet plain = with("plain", [](DrawnTablet& t) { t.across = 0; });
  DrawnTablet ramp = with("ramp", [](DrawnTablet& t) {
    t.steps = 2000;
    t.increment = 3.0 / 2000;
    t.pitch = 1;
  });
  DrawnTablet other = with("eleven_steps", [](DrawnTablet& t) {
    t.steps = 11;
    t.increment = 0.30;
    t.pitch = 170;
  });
  for (const DrawnTablet& t : {plain, ramp, other}) {
    try {
      find_tablet_patches(draw(t), 21);
      FAIL() << t.name;
    } catch (const InputError& error) {
      EXPECT_THAT(error.what(), HasSubstr("tablet.tif: no row or column of 21 patches")) << t.name;
    }
  }
}

/// Borders of every width and darkness, some of which look like one step more at the dark end.
TEST(FindTabletPatches, with_dark_borders_dust_and_a_turn_is_never_one_patch_off) {
  int found = 0;
  int all = 0;
  for (const int steps : {21, 11, 8}) {
    for (const double border : {0.4, 1.2, 2.5}) {
      for (const double border_density : {1.0, 2.5, 6.0}) {
        for (const double angle : {-1.5, 181.5}) {
          DrawnTablet t;
          t.name = std::to_string(steps) + " steps, border " + std::to_string(border) +
                   " of density " + std::to_string(border_density) + ", turned " +
                   std::to_string(angle);
          t.steps = steps;
          t.increment = 2.0 / (steps - 1);
          t.pitch = std::min(180.0, 1900.0 / steps);
          t.angle_degrees = angle;
          t.dust = 60;
          t.border = border;
          t.border_light = std::pow(10, -border_density);
          ++all;
          std::vector<PatchRegion> regions;
          try {
            regions = find_tablet_patches(draw(t), t.steps);
          } catch (const InputError&) {
            std::printf("refused: %s\n", t.name.c_str());
            continue;  // a word, which is what a doubtful tablet gets
          }
          ++found;
          const double radians = angle * std::numbers::pi / 180;
          for (int k = 0; k < steps; ++k) {
            const double along = (k + 0.5 - t.steps / 2.0) * t.pitch;
            const PatchRegion& region = regions[static_cast<std::size_t>(k)];
            EXPECT_NEAR(region.centre_x, t.width / 2.0 + along * std::cos(radians), 0.25 * t.pitch)
                << t.name;
            EXPECT_NEAR(region.centre_y, t.height / 2.0 + along * std::sin(radians),
                        0.25 * t.across)
                << t.name;
          }
        }
      }
    }
  }
  EXPECT_GT(found, 0.9 * all);
}

TEST(FindTabletPatchesRefusal, fewer_than_eight) {
  EXPECT_THROW(find_tablet_patches(draw(DrawnTablet{}), 7), InputError);
  EXPECT_THROW(find_tablet_patches(draw(DrawnTablet{}), 0), InputError);
}

TEST(MeasurePatches, says_what_does_not_fit) {
  const scan::Scan scan = draw(DrawnTablet{});
  const std::vector<Density> two = {Density::from_value(0.1), Density::from_value(0.2)};
  const PatchRegion good{1200, 400, 40, 40, 0};
  EXPECT_THROW(measure_patches(scan, std::vector{good}, two), InputError);
  EXPECT_THROW(measure_patches(scan, std::vector{good, {-500, 0, 40, 40, 0}}, two), InputError);
  EXPECT_THROW(measure_patches(scan, std::vector{good, {1200, 400, 3, 3, 0}}, two), InputError);
}

TEST(MeasurePatches, reads_light_and_noise_of_given_places) {
  DrawnTablet t;
  t.noise = 0.004;
  const scan::Scan scan = draw(t);
  const PatchRegion tenth{1200, 400, 40, 80, 0};  // the middle step of 21
  const auto patches =
      measure_patches(scan, std::vector{tenth}, std::vector{Density::from_value(1.55)});
  const PatchCode& code = patches[0].codes[0];
  EXPECT_NEAR(code.mean, 0.002 + 0.85 * std::pow(10, -1.55), 4 * code.sigma);
  // Of 10 x 20 blocks of 16 pixels, but for the trimmed fifth.
  EXPECT_NEAR(code.sigma, 0.004 / std::sqrt(10 * 20 * 0.8 * 16), 3e-5);
  EXPECT_FALSE(code.clipped);
}

TEST(MeasurePatches, marks_clipped_patches) {
  DrawnTablet t;
  t.exposure = 1.5;
  const scan::Scan scan = draw(t);
  const auto patches = measure_patches(scan, find_tablet_patches(scan, t.steps), densities_of(t));
  EXPECT_TRUE(patches[0].codes[0].clipped);
  EXPECT_FALSE(patches[3].codes[0].clipped);
}

}  // namespace
}  // namespace basefog::tablet

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/density.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "makers/drawn_scan.hpp"

namespace basefog::density {
namespace {

using drawn::Plan;

FrameMeasurement measured(const Plan& plan) {
  const scan::Scan scan = drawn::draw(plan);
  return measure_frames(scan, area::find_film(scan)).at(0);
}

TEST(Density, apertures_are_a_72nd_of_the_long_side) {
  const FrameMeasurement frame = measured(Plan{});
  EXPECT_EQ(frame.apertures.columns, 71);
  EXPECT_EQ(frame.apertures.rows, 47);
  EXPECT_EQ(frame.apertures.channels, 1);
  EXPECT_EQ(frame.apertures.density.size(), 71U * 47U);
  EXPECT_EQ(frame.state, FrameState::measured);
}

TEST(Density, net_density_of_an_even_frame) {
  for (double net : {0.1, 0.5, 1.0, 1.8}) {
    Plan plan;
    plan.scenes[0] = drawn::plain_scene(net);
    plan.frames[0].angle_degrees = 1.2;
    const FrameMeasurement frame = measured(plan);
    ASSERT_EQ(frame.rebate.kind, ReferenceKind::rebate) << net;
    double worst = 0;
    for (int y = 0; y < frame.apertures.rows; ++y) {
      for (int x = 0; x < frame.apertures.columns; ++x) {
        const double d = net_density(frame.apertures, frame.rebate, 0, x, y).value();
        worst = std::max(worst, std::abs(d - net));
      }
    }
    EXPECT_LT(worst, 0.02) << net;
  }
}

/// Light that falls off towards the corners is the scanner's, not the film's.
TEST(Density, of_an_even_frame_is_even_under_uneven_light) {
  Plan plan;
  plan.scenes[0] = drawn::plain_scene(0.7);
  plan.fall_off = 0.08;
  const FrameMeasurement frame = measured(plan);
  ASSERT_EQ(frame.rebate.kind, ReferenceKind::rebate);
  EXPECT_NEAR(frame.rebate.density[0].value(), 0.30 + 0.05, 0.01);
  for (int y = 0; y < frame.apertures.rows; y += 5) {
    for (int x = 0; x < frame.apertures.columns; x += 5) {
      EXPECT_NEAR(net_density(frame.apertures, frame.rebate, 0, x, y).value(), 0.7, 0.02)
          << x << ", " << y;
    }
  }
}

/// Mean net density over the frame, as a scanner under less light sees the same film.
TEST(Density, less_light_over_the_whole_scan_changes_no_net_density) {
  Plan plan;
  plan.film = {230, 160, 440, 300, 0};
  const scan::Scan full = drawn::draw(plan);
  scan::Scan dim = full;
  for (float& light : dim.blocks.mean) light *= 0.8F;
  for (float& variance : dim.blocks.variance) variance *= 0.64F;
  const FrameMeasurement a = measure_frames(full, area::find_film(full)).at(0);
  const FrameMeasurement b = measure_frames(dim, area::find_film(dim)).at(0);
  EXPECT_NEAR(b.rebate.density[0].value() - a.rebate.density[0].value(), -std::log10(0.8), 0.002);
  ASSERT_EQ(a.apertures.density.size(), b.apertures.density.size());
  double worst = 0;
  for (int y = 0; y < a.apertures.rows; ++y) {
    for (int x = 0; x < a.apertures.columns; ++x) {
      worst = std::max(worst, std::abs(net_density(a.apertures, a.rebate, 0, x, y).value() -
                                       net_density(b.apertures, b.rebate, 0, x, y).value()));
    }
  }
  EXPECT_LT(worst, 0.005);
}

TEST(Density, sigma_covers_the_scatter_of_an_even_frame) {
  Plan plan;
  plan.scenes[0] = drawn::plain_scene(0.7);
  plan.pixel_noise = 0.05;
  const FrameMeasurement frame = measured(plan);
  double square = 0;
  double told = 0;
  for (std::size_t i = 0; i < frame.apertures.density.size(); ++i) {
    const double off = frame.apertures.density[i] - (0.7 + 0.30 + 0.05);
    square += off * off;
    told += frame.apertures.sigma[i] * frame.apertures.sigma[i];
  }
  EXPECT_NEAR(std::sqrt(told / square), 1.0, 0.3);
}

TEST(Density, blank_frame_shows_nothing_above_a_base) {
  Plan plan;
  plan.scenes[0] = drawn::plain_scene(0.0);
  const FrameMeasurement frame = measured(plan);
  // No edge tells clear film from an even picture: that takes a base from elsewhere.
  EXPECT_NE(frame.state, FrameState::blank);
  const FilmBase base = base_of_clear_film(frame);
  EXPECT_NEAR(base.density[0].value(), 0.35, 0.005);
  EXPECT_TRUE(shows_nothing(frame, base));
  EXPECT_FALSE(shows_nothing(frame, FilmBase{}));
  EXPECT_FALSE(shows_nothing(measured(Plan{}), base));
}

TEST(Density, fogged_film_is_called_so) {
  Plan plan;
  plan.scenes[0] = drawn::plain_scene(2.4);
  plan.frames[0] = {230, 160, 600, 400, 0};
  EXPECT_TRUE(measured(plan).flags.contains(Flag::fogged));
}

TEST(Density, pictures_keep_their_sizes) {
  const FrameMeasurement frame = measured(Plan{});
  EXPECT_LE(frame.negative.width, 720);
  EXPECT_NEAR(static_cast<double>(frame.negative.width) / frame.negative.height, 1.5, 0.02);
  EXPECT_EQ(frame.overview.width, 360);
  EXPECT_EQ(frame.overview.millidensity.size(),
            static_cast<std::size_t>(frame.overview.width) * frame.overview.height);
}

}  // namespace
}  // namespace basefog::density

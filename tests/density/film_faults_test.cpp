// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/film_faults.hpp"

#include <gtest/gtest.h>

#include "basefog/density/density.hpp"
#include "makers/drawn_scan.hpp"

namespace basefog::density {
namespace {

using drawn::Plan;

FlagSet flags_of(const scan::Scan& scan) {
  FlagSet flags;
  for (const FrameMeasurement& frame : measure_frames(scan, area::find_film(scan))) {
    flags.insert(frame.flags);
  }
  return flags;
}

/// A strip of three frames of 129 x 86 blocks on bare light, with so much between them.
Plan strip_with_gap(double gap) {
  Plan plan;
  plan.width = 460;
  plan.height = 200;
  plan.film = {230, 100, 430, 140, 0};
  plan.frames.clear();
  plan.scenes.clear();
  for (int i = 0; i < 3; ++i) {
    const double centre = 230 + (i - 1) * (129 + gap);
    plan.frames.push_back({centre, 100, 129, 86, 0});
    plan.scenes.push_back(drawn::busy_scene(static_cast<unsigned>(7 + i)));
  }
  return plan;
}

TEST(FilmFaults, frames_apart_are_no_fault) {
  const scan::Scan scan = drawn::draw(strip_with_gap(7));
  const area::FilmLayout layout = area::find_film(scan);
  EXPECT_EQ(layout.frames.size(), 3U);
  EXPECT_FALSE(flags_of(scan).contains(Flag::frames_overlap));
  EXPECT_FALSE(flags_of(scan).contains(Flag::double_exposure));
  EXPECT_FALSE(flags_of(scan).contains(Flag::light_struck));
}

TEST(FilmFaults, frames_that_run_into_each_other_are_both_flagged) {
  Plan plan = strip_with_gap(7);
  plan.frames[2].centre_x = plan.frames[1].centre_x + 115;  // 14 blocks over the second
  const scan::Scan scan = drawn::draw(plan);
  const area::FilmLayout layout = area::find_film(scan);
  ASSERT_EQ(layout.frames.size(), 3U);
  const std::vector<FlagSet> faults = find_faults(scan, layout, measure_rebate(scan, layout));
  EXPECT_FALSE(faults[0].contains(Flag::frames_overlap));
  EXPECT_TRUE(faults[1].contains(Flag::frames_overlap));
  EXPECT_TRUE(faults[2].contains(Flag::frames_overlap));
}

TEST(FilmFaults, two_exposures_on_one_frame_are_told_where_they_do_not_lie_square) {
  Plan plan = strip_with_gap(7);
  plan.frames.push_back(plan.frames[2]);
  plan.frames.back().centre_x += 22;
  plan.scenes.push_back(drawn::busy_scene(31));
  plan.width = 500;
  plan.film.width = 460;
  plan.film.centre_x = 240;
  EXPECT_TRUE(flags_of(drawn::draw(plan)).contains(Flag::double_exposure));
}

TEST(FilmFaults, light_that_struck_the_edge_is_said) {
  Plan plan = strip_with_gap(7);
  // Fog from the film's upper edge inwards, over clear film, beside the first frame.
  plan.frames.push_back({90, 37, 150, 14, 0});
  plan.scenes.push_back([](double, double v) { return 0.5 * (1 - v); });
  const scan::Scan scan = drawn::draw(plan);
  const std::vector<FrameMeasurement> frames = measure_frames(scan, area::find_film(scan));
  ASSERT_EQ(frames.size(), 3U);
  EXPECT_TRUE(frames[0].flags.contains(Flag::light_struck));
  EXPECT_FALSE(frames[2].flags.contains(Flag::light_struck));
}

TEST(FilmFaults, edge_printing_is_no_light_struck_edge) {
  Plan plan = strip_with_gap(7);
  plan.edge_printing = true;
  EXPECT_FALSE(flags_of(drawn::draw(plan)).contains(Flag::light_struck));
}

TEST(FilmFaults, stretched_levels_leave_no_zero) {
  Plan plan;
  scan::Scan scan = drawn::draw(plan);
  EXPECT_FALSE(levels_stretched(scan.blocks));
  // Half a percent at black and at white, as software that stretches levels leaves it.
  const std::size_t size = scan.blocks.mean.size();
  for (std::size_t i = 0; i < size / 200; ++i) {
    scan.blocks.clipped[(i * 7919) % size] = 255;
    scan.blocks.floored[(i * 104729) % size] = 255;
  }
  EXPECT_TRUE(levels_stretched(scan.blocks));
  const std::vector<FrameMeasurement> frames = measure_frames(scan, area::find_film(scan));
  EXPECT_TRUE(frames[0].flags.contains(Flag::automatic_levels));
  EXPECT_EQ(frames[0].rebate.kind, ReferenceKind::none);
}

// Without clear film in view, evenly exposed film and clear film look alike.
TEST(FilmFaults, evenly_exposed_film_without_rebate_is_not_called_blank) {
  Plan plan;
  plan.frames[0] = {230, 160, 600, 400, 0};
  plan.scenes[0] = drawn::plain_scene(0.7);
  const scan::Scan scan = drawn::draw(plan);
  const FrameMeasurement frame = measure_frames(scan, area::find_film(scan)).at(0);
  EXPECT_NE(frame.state, FrameState::blank);
  FilmBase base;
  base.kind = ReferenceKind::roll;
  base.density = {Density::from_value(plan.base[0] + plan.bare)};
  base.sigma = {DensityDifference(0.01)};
  EXPECT_FALSE(shows_nothing(frame, base));
  base.density = {Density::from_value(plan.base[0] + plan.bare + 0.7)};
  EXPECT_TRUE(shows_nothing(frame, base));
}

}  // namespace
}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/film_area.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "basefog/area/layout_hint.hpp"
#include "basefog/density/film_base.hpp"
#include "makers/drawn_scan.hpp"

namespace basefog::area {
namespace {

using drawn::Plan;

/// One frame found where it was drawn, and base + fog right.
void expect_found(const Plan& plan, const char* what) {
  const scan::Scan scan = drawn::draw(plan);
  const FilmLayout layout = find_film(scan);
  ASSERT_EQ(layout.frames.size(), 1U) << what;
  EXPECT_TRUE(layout.edges_found) << what;
  const FrameRegion truth = drawn::true_frames(plan).front();
  const FrameRegion& found = layout.frames.front();
  EXPECT_GT(drawn::overlap(found, truth), 0.95)
      << what << ": centre " << found.centre_x << ", " << found.centre_y << " size " << found.width
      << " x " << found.height << " angle " << found.angle_degrees << " for " << truth.centre_x
      << ", " << truth.centre_y << " size " << truth.width << " x " << truth.height << " angle "
      << truth.angle_degrees;
  EXPECT_NEAR(found.angle_degrees, truth.angle_degrees, 0.3) << what;
  const density::FilmBase base = density::measure_rebate(scan, layout);
  ASSERT_EQ(base.kind, density::ReferenceKind::rebate) << what;
  for (std::size_t c = 0; c < plan.base.size(); ++c) {
    EXPECT_NEAR(base.density[c].value(), plan.base[c] + plan.bare, 0.01) << what;
  }
}

TEST(FilmArea, frame_with_rebate_around_it) { expect_found(Plan{}, "straight"); }

TEST(FilmArea, frame_turned_either_way) {
  for (double angle : {-3.0, -2.0, -0.7, 0.4, 1.3, 2.0, 3.0}) {
    Plan plan;
    plan.frames[0].angle_degrees = angle;
    plan.dust = 60;
    plan.scenes[0] = drawn::busy_scene(static_cast<unsigned>(10 + angle * 3));
    expect_found(plan, "turned");
  }
}

TEST(FilmArea, frame_with_the_holders_mask_in_view) {
  Plan plan;
  plan.frames[0].angle_degrees = 1.5;
  plan.mask_left = 14;
  plan.mask_top = 9;
  plan.flare = 0.02;
  expect_found(plan, "mask");
}

TEST(FilmArea, mask_that_covers_one_side_of_the_frame) {
  Plan plan;
  plan.mask_left = 38;  // the frame begins at 32: the mask hides six blocks of it
  const scan::Scan scan = drawn::draw(plan);
  const FilmLayout layout = find_film(scan);
  ASSERT_TRUE(layout.edges_found);
  FrameRegion visible = drawn::true_frames(plan).front();
  visible.centre_x += 3 * plan.block_side;
  visible.width -= 6 * plan.block_side;
  EXPECT_GT(drawn::overlap(layout.frames[0], visible), 0.97);
  EXPECT_EQ(density::measure_rebate(scan, layout).kind, density::ReferenceKind::rebate);
}

TEST(FilmArea, film_with_bare_light_beside_it) {
  Plan plan;
  plan.film = {230, 160, 1000, 300, 0};
  plan.frames[0].angle_degrees = plan.film.angle_degrees = -1.0;
  expect_found(plan, "bare light");
}

TEST(FilmArea, masked_colour_film) {
  Plan plan;
  plan.base = {0.21, 0.64, 0.86};
  plan.frames[0].angle_degrees = 0.8;
  expect_found(plan, "orange mask");
}

TEST(FilmArea, a_scan_of_one_row_or_column_is_looked_at_like_any) {
  for (const auto& [width, height] : {std::pair{1, 1000}, std::pair{1000, 1}}) {
    scan::Scan scan;
    scan.width = width;
    scan.height = height;
    scan.blocks = {.width = width, .height = height, .channels = 1};
    scan.blocks.mean.assign(1000, 0.3F);
    scan.blocks.variance.assign(1000, 1e-6F);
    scan.blocks.clipped.assign(1000, 0);
    scan.blocks.floored.assign(1000, 0);
    scan.darkest = {1e-4};
    EXPECT_NO_THROW(find_film(scan));
  }
}

TEST(FilmArea, edge_printing_is_no_picture) {
  Plan plan;
  plan.edge_printing = true;
  plan.frames[0].angle_degrees = 1.0;
  expect_found(plan, "edge printing");
}

TEST(FilmArea, night_scene_keeps_its_whole_frame) {
  Plan plan;
  plan.scenes[0] = drawn::night_scene();
  plan.frames[0].angle_degrees = 1.0;
  const scan::Scan scan = drawn::draw(plan);
  const FilmLayout layout = find_film(scan);
  // Only the lower and the right side can be seen: what is there must stay in.
  const FrameRegion truth = drawn::true_frames(plan).front();
  EXPECT_GT(drawn::overlap(layout.frames[0], truth), 0.8);
  plan.scenes[0] = drawn::night_with_skyline();
  expect_found(plan, "skyline");
}

TEST(FilmArea, white_wall_has_four_edges) {
  Plan plan;
  plan.scenes[0] = drawn::plain_scene(0.9);
  plan.frames[0].angle_degrees = -2;
  expect_found(plan, "white wall");
}

/// A strip of 35 mm film on bare light, frames every 38.0 mm [ISO1007], ten blocks a millimetre
/// shrunk to two and a half.
Plan strip_of(int frames, double angle) {
  constexpr double kBlocksPerMm = 2.5;
  Plan plan;
  plan.width = static_cast<int>((38.0 * frames + 14) * kBlocksPerMm);
  plan.height = static_cast<int>(49 * kBlocksPerMm);
  plan.film = {plan.width / 2.0, plan.height / 2.0, 38.0 * frames * kBlocksPerMm + 6,
               35 * kBlocksPerMm, angle};
  plan.frames.clear();
  plan.scenes.clear();
  const double a = angle * 3.14159265358979 / 180;
  for (int i = 0; i < frames; ++i) {
    const double along = 38.0 * (i - (frames - 1) / 2.0) * kBlocksPerMm;
    plan.frames.push_back({plan.width / 2.0 + along * std::cos(a),
                           plan.height / 2.0 - along * std::sin(a), 36 * kBlocksPerMm,
                           24 * kBlocksPerMm, angle});
    plan.scenes.push_back(drawn::busy_scene(static_cast<unsigned>(20 + i)));
  }
  return plan;
}

void expect_frames(const Plan& plan, const char* what) {
  const FilmLayout layout = find_film(drawn::draw(plan));
  const std::vector<FrameRegion> truth = drawn::true_frames(plan);
  ASSERT_EQ(layout.frames.size(), truth.size()) << what;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    EXPECT_GT(drawn::overlap(layout.frames[i], truth[i]), 0.95) << what << ", frame " << i;
  }
}

TEST(FilmArea, strip_of_frames_in_film_order) {
  for (double angle : {0.0, 1.5, -1.0}) expect_frames(strip_of(4, angle), "strip");
}

TEST(FilmArea, frame_that_shows_nothing_is_placed_by_the_pitch) {
  Plan plan = strip_of(5, 0.5);
  plan.scenes[2] = drawn::plain_scene(0.0);
  expect_frames(plan, "blank among others");
}

TEST(FilmArea, frame_whose_black_border_was_filed_out) {
  // A carrier filed out shows a narrow, uneven line of clear film around the picture, which prints
  // black.
  Plan plan;
  plan.mask_left = 25;
  plan.mask_right = 26;
  plan.mask_top = 22;
  plan.mask_bottom = 21;
  expect_found(plan, "filed out");
}

TEST(FilmArea, base_of_gray_film_with_bare_light_in_view) {
  for (const double density : {0.3, 0.42, 0.5}) {
    Plan plan = strip_of(4, 0.7);
    plan.base = {density};
    expect_frames(plan, "gray base");
    const scan::Scan scan = drawn::draw(plan);
    const density::FilmBase base = density::measure_rebate(scan, find_film(scan));
    ASSERT_EQ(base.kind, density::ReferenceKind::rebate);
    EXPECT_NEAR(base.density[0].value(), density + plan.bare, 0.01);
  }
}

/// Two strips of 35 mm film side by side without a gap.
Plan touching_strips() {
  Plan plan = strip_of(4, 0.0);
  const double strip = 35 * 2.5;
  plan.height += static_cast<int>(strip);
  const double up = (plan.height - strip) / 2;
  for (FrameRegion& frame : plan.frames) frame.centre_y = up;
  for (int i = 0; i < 4; ++i) {
    FrameRegion frame = plan.frames[i];
    frame.centre_y += strip;
    plan.frames.push_back(frame);
    plan.scenes.push_back(drawn::busy_scene(static_cast<unsigned>(40 + i)));
  }
  plan.film.centre_y = plan.height / 2.0;
  plan.film.height = 2 * strip;
  return plan;
}

TEST(FilmArea, strips_that_touch_are_two) {
  const Plan plan = touching_strips();
  expect_frames(plan, "touching");
  EXPECT_EQ(find_film(drawn::draw(plan)).strips.size(), 2U);
}

TEST(FilmArea, layout_turns_the_order_of_frames_and_strips) {
  const Plan plan = touching_strips();
  const std::vector<FrameRegion> truth = drawn::true_frames(plan);
  const FilmLayout layout =
      find_film(drawn::draw(plan), parse_layout("sheet,order=left,next-strip=up"));
  ASSERT_EQ(layout.frames.size(), 8U);
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_GT(drawn::overlap(layout.frames[i], truth[7 - i]), 0.95) << i;
  }
}

TEST(FilmArea, layout_says_how_many_frames_a_dark_strip_has) {
  Plan plan = strip_of(5, 0.0);
  for (const std::size_t i : {0U, 1U, 3U}) plan.scenes[i] = drawn::plain_scene(0.0);
  const FilmLayout layout = find_film(drawn::draw(plan), parse_layout("strip,24x36,frames=5"));
  const std::vector<FrameRegion> truth = drawn::true_frames(plan);
  ASSERT_EQ(layout.frames.size(), 5U);
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_GT(drawn::overlap(layout.frames[i], truth[i]), 0.93) << i;
  }
}

TEST(FilmArea, layout_single_keeps_a_picture_with_a_stripe_whole) {
  Plan plan;
  plan.scenes[0] = [](double u, double v) {
    return std::abs(u - 0.5) < 0.02 ? 0.0 : 0.3 + 0.4 * v + 0.3 * std::sin(9 * u);
  };
  const FilmLayout layout = find_film(drawn::draw(plan), parse_layout("single"));
  ASSERT_EQ(layout.frames.size(), 1U);
  EXPECT_GT(drawn::overlap(layout.frames[0], drawn::true_frames(plan)[0]), 0.95);
}

// Where a read beyond the picture would go unseen, the build with sanitizers sees it.
TEST(FilmArea, scans_a_block_or_two_thin_have_frames_within_them_or_none) {
  for (const auto& [width, height] : {std::pair{1, 1}, {1, 300}, {300, 1}, {2, 300}, {300, 2}}) {
    const scan::Scan scan = drawn::draw({.width = width, .height = height});
    for (const FrameRegion& frame : find_film(scan).frames) {
      EXPECT_LE(frame.width, scan.width) << width << " x " << height;
      EXPECT_LE(frame.height, scan.height) << width << " x " << height;
    }
  }
}

TEST(FilmArea, picture_without_rebate_is_the_whole_scan) {
  for (unsigned seed : {1U, 2U, 3U, 4U, 5U}) {
    Plan plan;
    plan.frames[0] = {230, 160, 600, 400, 0.5};
    plan.scenes[0] = drawn::busy_scene(seed);
    const scan::Scan scan = drawn::draw(plan);
    const FilmLayout layout = find_film(scan);
    EXPECT_FALSE(layout.edges_found) << seed;
    EXPECT_TRUE(layout.flags.contains(Flag::no_frame_found));
    ASSERT_EQ(layout.frames.size(), 1U);
    EXPECT_DOUBLE_EQ(layout.frames[0].width, scan.width);
    EXPECT_EQ(density::measure_rebate(scan, layout).kind, density::ReferenceKind::none) << seed;
  }
}

/// A round hill before a bright sky with a window on it, from edge to edge of the scan: tones as
/// bare light, clear film and a frame have them, but none is cut straight.
scan::Scan window_within_a_picture(double sky, double hill) {
  Plan plan;
  plan.frames[0] = {230, 160, 600, 400, 0};
  plan.scenes[0] = [=](double u, double v) {
    const double x = 600 * u - 70;
    const double y = 400 * v - 40;
    const bool window = std::abs(x - 210) < 60 && std::abs(y - 150) < 40;
    if (window) return 0.7 + 0.3 * std::sin(x / 7) * std::sin(y / 9);
    return std::hypot(x - 220, 1.3 * (y - 160)) < 150 + 12 * std::sin(x / 11) ? hill : sky;
  };
  return drawn::draw(plan);
}

TEST(FilmArea, window_within_a_picture_is_no_frame) {
  for (const auto& [sky, hill] : {std::pair{0.4, 0.62}, {0.0, 0.0}}) {
    const scan::Scan scan = window_within_a_picture(sky, hill);
    const FilmLayout layout = find_film(scan);
    EXPECT_FALSE(layout.edges_found) << sky << ", " << hill;
    EXPECT_EQ(density::measure_rebate(scan, layout).kind, density::ReferenceKind::none);
  }
}

}  // namespace
}  // namespace basefog::area

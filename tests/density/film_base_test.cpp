// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/film_base.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

#include "basefog/core/error.hpp"
#include "makers/drawn_scan.hpp"

namespace basefog::density {
namespace {

using drawn::Plan;

FilmBase base_of(const Plan& plan) {
  const scan::Scan scan = drawn::draw(plan);
  return measure_rebate(scan, area::find_film(scan));
}

TEST(FilmBase, is_right_for_any_gray_base_and_with_dust_and_letters) {
  for (const double base : {0.12, 0.20, 0.30, 0.38, 0.50}) {
    Plan plan;
    plan.base = {base};
    plan.dust = 80;
    plan.edge_printing = true;
    const FilmBase found = base_of(plan);
    ASSERT_EQ(found.kind, ReferenceKind::rebate) << base;
    EXPECT_NEAR(found.density[0].value(), base + plan.bare, 0.005) << base;
    EXPECT_LE(std::abs(found.density[0].value() - base - plan.bare), 3 * found.sigma[0].value())
        << base;
  }
}

// Published minimum densities of colour negative film [KodakE4050].
TEST(FilmBase, is_right_in_every_channel_under_a_strong_orange_mask) {
  for (const double stronger : {0.0, 0.15, 0.3}) {
    Plan plan;
    plan.base = {0.216, 0.643 + stronger / 2, 0.862 + stronger};
    plan.film = {230, 160, 1000, 300, 0};  // bare light beside it
    const FilmBase found = base_of(plan);
    ASSERT_EQ(found.kind, ReferenceKind::rebate);
    for (std::size_t c = 0; c < 3; ++c) {
      EXPECT_NEAR(found.density[c].value(), plan.base[c] + plan.bare, 0.01) << c;
    }
    EXPECT_FALSE(found.flags.contains(Flag::base_implausible));
  }
}

TEST(FilmBase, is_free_of_the_stray_light_that_the_mask_shows) {
  for (const double flare : {0.0, 0.01, 0.03}) {
    Plan plan;
    plan.mask_left = 20;
    plan.mask_top = 15;
    plan.flare = flare;
    const scan::Scan scan = drawn::draw(plan);
    const area::FilmLayout layout = area::find_film(scan);
    EXPECT_NEAR(layout.stray.share, flare, 0.004) << flare;
    const FilmBase found = measure_rebate(scan, layout);
    ASSERT_EQ(found.kind, ReferenceKind::rebate);
    EXPECT_NEAR(found.density[0].value(), plan.base[0] + plan.bare, 0.005) << flare;
  }
}

TEST(FilmBase, at_the_white_limit_is_said_to_be_clipped) {
  Plan plan;
  plan.bare = -0.35;
  plan.base = {0.30};
  EXPECT_TRUE(base_of(plan).flags.contains(Flag::clipped_base));
}

TEST(FilmBase, is_none_where_nothing_but_picture_is_in_view) {
  Plan plan;
  plan.frames[0] = {230, 160, 600, 400, 0};
  EXPECT_EQ(base_of(plan).kind, ReferenceKind::none);
}

// Base + fog of gray film 0.2 to 0.3 (secondary), of masked film [KodakE4050].
TEST(FilmBase, plausible_against_bare_light_for_its_kind) {
  EXPECT_TRUE(plausible_base({DensityDifference(0.30)}));
  EXPECT_TRUE(
      plausible_base({DensityDifference(0.20), DensityDifference(0.20), DensityDifference(0.22)}));
  EXPECT_TRUE(plausible_base(
      {DensityDifference(0.216), DensityDifference(0.643), DensityDifference(0.862)}));
  EXPECT_FALSE(plausible_base({DensityDifference(0.005)}));
  EXPECT_FALSE(plausible_base({DensityDifference(0.9)}));
  EXPECT_FALSE(
      plausible_base({DensityDifference(0.9), DensityDifference(0.9), DensityDifference(0.9)}));
}

TEST(FilmBase, known_bare_light_shows_an_implausible_base) {
  Plan plan;
  plan.bare = 0;
  plan.base = {0.30};
  scan::Scan scan = drawn::draw(plan);
  scan.light_known = true;
  EXPECT_FALSE(measure_rebate(scan, area::find_film(scan)).flags.contains(Flag::base_implausible));
  plan.base = {0.95};
  scan = drawn::draw(plan);
  scan.light_known = true;
  EXPECT_TRUE(measure_rebate(scan, area::find_film(scan)).flags.contains(Flag::base_implausible));
}

/// Film whose twenty-five parts each differ from its base by a draw of 0.02: the found base
/// scatters from scan to scan as its sigma says, neither half nor twice as much. With 200 scans the
/// share is good to 5 %; a half or a double is noticed.
TEST(FilmBase, sigma_is_how_far_it_scatters_from_scan_to_scan) {
  std::mt19937 random(19);
  std::normal_distribution<double> of_part(0, 0.02);
  constexpr int kParts = 4;
  constexpr int kSide = 8;  // blocks of a part
  scan::Scan scan;
  scan.blocks.width = scan.blocks.height = kParts * kSide;
  scan.blocks.channels = 1;
  scan.blocks.block_side = 4;
  scan.width = scan.height = kParts * kSide * 4;
  const std::size_t count = static_cast<std::size_t>(kParts * kSide) * kParts * kSide;
  scan.blocks.mean.resize(count);
  scan.blocks.variance.assign(count, 0);
  scan.blocks.clipped.assign(count, 0);
  scan.blocks.floored.assign(count, 0);
  area::FilmLayout layout;
  layout.kind.assign(count, area::AreaKind::clear_film);
  double squares = 0;
  double told = 0;
  for (int k = 0; k < 200; ++k) {
    std::array<double, kParts * kParts> part{};
    for (double& one : part) one = of_part(random);
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t x = i % (kParts * kSide) / kSide;
      const std::size_t y = i / (kParts * kSide) / kSide;
      scan.blocks.mean[i] = static_cast<float>(std::pow(10, -0.3 - part.at(y * kParts + x)));
    }
    const FilmBase found = measure_rebate(scan, layout);
    squares += std::pow(found.density[0].value() - 0.3, 2);
    told += std::pow(found.sigma[0].value(), 2);
  }
  EXPECT_GT(std::sqrt(told / squares), 0.4);
  EXPECT_LT(std::sqrt(told / squares), 1.4);
}

TEST(GivenBase, takes_codes_or_light) {
  const response::Response linear;
  const FilmBase codes = base_given(parse_base("32768,16384,8192"), linear, 16, 3);
  ASSERT_EQ(codes.kind, ReferenceKind::given);
  EXPECT_NEAR(codes.density[0].value(), 0.301, 0.001);
  EXPECT_NEAR(codes.density[2].value(), 0.903, 0.001);
  const FilmBase light = base_given(parse_base("0.5"), linear, 16, 1);
  EXPECT_NEAR(light.density[0].value(), 0.301, 0.001);
  const response::Response gamma{
      .kind = response::ResponseKind::gamma, .gamma = 2.0, .source = {}, .curves = {}};
  EXPECT_NEAR(base_given(parse_base("127.5"), gamma, 8, 1).density[0].value(), 0.602, 0.001);
}

TEST(GivenBase, that_does_not_belong_to_the_scan_is_none) {
  EXPECT_EQ(base_given(parse_base("0.5"), response::Response{}, 16, 3).kind, ReferenceKind::none);
  EXPECT_EQ(base_given(parse_base("300"), response::Response{}, 8, 1).kind, ReferenceKind::none);
}

TEST(GivenBase, refuses_what_is_no_base) {
  for (const char* text :
       {"", "0", "-1", "1,2", "0.5,200,200", "a", "1,2,3,4", "70000", "nan", "0.5,"}) {
    EXPECT_THROW(parse_base(text), InputError) << text;
  }
}

}  // namespace
}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/roll_reference.hpp"

#include <gtest/gtest.h>

#include <random>

namespace basefog::density {
namespace {

FilmBase base_of(std::vector<double> densities, double sigma = 0.003) {
  FilmBase base;
  base.kind = ReferenceKind::rebate;
  for (double d : densities) {
    base.density.push_back(Density::from_value(d));
    base.sigma.emplace_back(sigma);
  }
  return base;
}

std::vector<FilmBase> roll_of(int frames, double wander, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, wander);
  std::vector<FilmBase> bases;
  for (int i = 0; i < frames; ++i) {
    const double off = normal(random);
    bases.push_back(base_of({0.25 + off, 0.68 + off, 0.90 + off}));
  }
  return bases;
}

TEST(RollReference, locked_exposure_gives_the_roll_one_reference) {
  int locked = 0;
  for (unsigned seed = 0; seed < 50; ++seed) {
    std::vector<FilmBase> bases = roll_of(36, 0.005, seed);
    bases[4] = FilmBase{};  // cropped to the picture
    const RollReference roll = check_locked_exposure(bases);
    EXPECT_TRUE(roll.checked);
    locked += roll.locked ? 1 : 0;
    ASSERT_EQ(roll.base.kind, ReferenceKind::roll);
    EXPECT_NEAR(roll.base.density[1].value(), 0.68, 0.005);
    EXPECT_GE(roll.base.sigma[1].value(), 0.01);
    EXPECT_TRUE(roll.base.flags.contains(Flag::roll_reference));
  }
  EXPECT_EQ(locked, 50);
}

TEST(RollReference, automatic_exposure_is_seen) {
  for (unsigned seed = 0; seed < 50; ++seed) {
    const RollReference roll = check_locked_exposure(roll_of(12, 0.08, seed));
    EXPECT_TRUE(roll.checked);
    EXPECT_FALSE(roll.locked) << seed;
    EXPECT_EQ(roll.base.kind, ReferenceKind::none);
  }
}

TEST(RollReference, one_bad_rebate_does_not_unlock_a_roll) {
  std::vector<FilmBase> bases = roll_of(12, 0.004, 3);
  bases[7] = base_of({0.45, 0.88, 1.1});
  const RollReference roll = check_locked_exposure(bases);
  EXPECT_TRUE(roll.locked);
  ASSERT_EQ(roll.outliers.size(), 1U);
  EXPECT_EQ(roll.outliers[0], 7U);
  EXPECT_NEAR(roll.base.density[0].value(), 0.25, 0.005);
}

TEST(RollReference, one_scan_alone_checks_nothing) {
  const RollReference one = check_locked_exposure(roll_of(1, 0, 1));
  EXPECT_FALSE(one.checked);
  EXPECT_FALSE(one.locked);
  EXPECT_EQ(one.base.kind, ReferenceKind::none);
  const std::vector<FilmBase> none(5);
  EXPECT_FALSE(check_locked_exposure(none).checked);
  EXPECT_EQ(check_locked_exposure({}).base.kind, ReferenceKind::none);
}

TEST(RollReference, is_no_surer_than_one_scan_where_scans_share_their_error) {
  const std::vector<FilmBase> unsure{base_of({0.3}, 0.03), base_of({0.3}, 0.03)};
  EXPECT_GE(check_locked_exposure(unsure).base.sigma.at(0).value(), 0.03);
}

TEST(RollReference, is_doubtful_where_most_scans_are) {
  std::vector<FilmBase> bases = roll_of(5, 0.002, 1);
  bases[0].flags.insert(Flag::base_doubtful);
  bases[3].flags.insert(Flag::base_doubtful);
  EXPECT_FALSE(check_locked_exposure(bases).base.flags.contains(Flag::base_doubtful));
  bases[4].flags.insert(Flag::base_doubtful);
  EXPECT_TRUE(check_locked_exposure(bases).base.flags.contains(Flag::base_doubtful));
}

TEST(RollReference, two_that_disagree_are_not_locked) {
  const std::vector<FilmBase> bases{base_of({0.3}), base_of({0.4})};
  EXPECT_FALSE(check_locked_exposure(bases).locked);
  const std::vector<FilmBase> alike{base_of({0.3}), base_of({0.305})};
  EXPECT_TRUE(check_locked_exposure(alike).locked);
}

TEST(RollReference, reference_must_not_be_denser_than_the_frame) {
  FrameMeasurement frame;
  frame.apertures = {.columns = 10,
                     .rows = 10,
                     .channels = 1,
                     .density = {},
                     .sigma = {},
                     .clipped = {},
                     .floored = {}};
  for (int i = 0; i < 100; ++i)
    frame.apertures.density.push_back(0.30F + 0.01F * static_cast<float>(i));
  EXPECT_TRUE(reference_fits(frame, base_of({0.30})));
  EXPECT_TRUE(reference_fits(frame, base_of({0.10})));
  EXPECT_FALSE(reference_fits(frame, base_of({0.45})));
  EXPECT_FALSE(reference_fits(frame, base_of({0.3, 0.3, 0.3})));
}

}  // namespace
}  // namespace basefog::density

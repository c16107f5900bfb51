// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/evidence.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

namespace basefog::ensemble {
namespace {

std::vector<Deviation> deviations_of(int frames, double bias, double scatter, unsigned seed) {
  std::minstd_rand random(seed);
  std::normal_distribution<double> normal(bias, scatter);
  std::vector<Deviation> deviations;
  for (int i = 0; i < frames; ++i) deviations.push_back({{normal(random)}, {1.0}, 1.0});
  return deviations;
}

/// The same densities through a film that is harder by `factor`.
std::vector<Deviation> through_harder(std::vector<Deviation> deviations, double factor) {
  for (Deviation& one : deviations) {
    one.stops[0] /= factor;
    one.log_slope -= std::log(factor);
  }
  return deviations;
}

// Measured are densities. Exposures of a harder film lie nearer to each other; if that alone
// counted, hard films would always look likely.
TEST(Agreement, favours_no_film_for_pressing_exposures_together) {
  double with_slopes = 0;
  double without = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const std::vector<Deviation> as_is = deviations_of(24, 0, 0.3, seed);
    std::vector<Deviation> harder = through_harder(as_is, 1.2);
    with_slopes += Agreement(harder).log() - Agreement(as_is).log();
    for (Deviation& one : harder) one.log_slope = 1.0;
    without += Agreement(harder).log() - Agreement(as_is).log();
  }
  EXPECT_NEAR(with_slopes / 20, 0, 0.25);
  EXPECT_GT(without / 20, 0.75);
}

TEST(Agreement, is_greatest_where_exposures_follow_the_log) {
  const std::vector<Deviation> near = deviations_of(12, 0.3, 0.2, 3);
  std::vector<Deviation> wandering = near;
  for (std::size_t i = 0; i < wandering.size(); ++i)
    wandering[i].stops[0] += 0.1 * static_cast<double>(i % 7) - 0.3;
  EXPECT_GT(Agreement(near).log(), Agreement(wandering).log() + 0.15);
}

TEST(Agreement, suffers_one_wild_frame) {
  std::vector<Deviation> frames = deviations_of(24, 0, 0.2, 5);
  const double before = Agreement(frames).log();
  frames[7].stops[0] = 6;
  // Normal scatter of 0.2 would make it e^225 times less likely, a quarter of that by a quarter of
  // the frames.
  EXPECT_GT(Agreement(frames).log(), before - 6);
}

// Two amounts of hidden light, the lesser nine times as likely by the law: the row of the frame
// says which, where the others show what the camera does.
TEST(Agreement, lets_a_frame_s_own_row_say_how_much_it_hides) {
  std::vector<Deviation> frames = deviations_of(12, 0.3, 0.2, 9);
  const Deviation hiding{{-2.0, 0.3}, {0.9, 0.1}, 1.0};
  frames.push_back(hiding);
  const std::vector<double> chances = Agreement(frames).chances(hiding);
  EXPECT_NEAR(chances[0] + chances[1], 1, 1e-9);
  EXPECT_GT(chances[1], 0.8);
  EXPECT_EQ(Agreement(deviations_of(2, 0, 0.2, 1)).chances(hiding), hiding.chance);
}

TEST(Agreement, says_nothing_of_two_frames) {
  EXPECT_EQ(Agreement(deviations_of(2, 0, 0.2, 1)).log(), 0);
  EXPECT_NE(Agreement(deviations_of(3, 0, 0.2, 1)).log(), 0);
}

TEST(Ranges, are_likeliest_about_those_of_scenes) {
  const auto of_mean = [](double stops) { return log_of_ranges(std::vector<Range>(12, {stops})); };
  EXPECT_GT(of_mean(5.2), of_mean(3.5));
  EXPECT_GT(of_mean(5.2), of_mean(7.5));
}

TEST(Ranges, that_are_cut_are_likelier_the_shorter_they_were_seen) {
  double before = 1e9;
  for (double stops = 1; stops < 12; stops += 0.5) {
    const double log = log_of_ranges(std::vector<Range>(6, {stops, true}));
    EXPECT_LT(log, before) << stops;
    before = log;
  }
}

TEST(Ranges, below_a_third_of_a_stop_are_all_alike) {
  EXPECT_EQ(log_of_ranges(std::vector<Range>{{0.3}}), log_of_ranges(std::vector<Range>{{-2}}));
}

TEST(GreatestDensity, rules_out_films_that_end_below_it) {
  EXPECT_EQ(log_of_density(-0.4, 1), 0);
  EXPECT_EQ(log_of_density(0, 1), 0);
  EXPECT_NEAR(log_of_density(0.4, 1), -0.5, 1e-9);
  EXPECT_LT(log_of_density(2, 1), -10);
}

TEST(GreatestDensity, shown_by_several_frames_is_the_end_of_the_film) {
  EXPECT_NEAR(log_of_density(0, 3), 0, 1e-9);
  EXPECT_NEAR(log_of_density(-4, 2), std::log(0.1), 1e-6);
  EXPECT_LT(log_of_density(-4, 3), log_of_density(-4, 2) - 2);
  EXPECT_GT(log_of_density(-0.1, 4), -0.2);
}

}  // namespace
}  // namespace basefog::ensemble

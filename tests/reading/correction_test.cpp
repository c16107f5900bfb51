// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/correction.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace basefog::reading {
namespace {

/// The definition, word for word.
double cost(const std::vector<double>& stops, double limit, double exposure, double c) {
  double lost = 0;
  for (double x : stops) lost += x + c < 0 || x + c > limit ? 1 : 0;
  return lost / static_cast<double>(stops.size()) + 0.03 * (exposure + c) * (exposure + c);
}

TEST(Correction, costs_least_of_all_changes) {
  std::mt19937 random(7);
  for (int trial = 0; trial < 60; ++trial) {
    std::normal_distribution<double> scene(std::uniform_real_distribution(-2.0, 9.0)(random), 2.5);
    std::vector<double> stops(300);
    for (double& x : stops) x = scene(random);
    std::sort(stops.begin(), stops.end());
    const double limit = std::uniform_real_distribution(4.0, 10.0)(random);
    const double exposure = std::uniform_real_distribution(-4.0, 4.0)(random);
    const CorrectionChoice best = best_correction(stops, limit, ExposureFromAim(exposure));
    for (double c = -12; c <= 12; c += 0.003) {
      ASSERT_GE(cost(stops, limit, exposure, c), best.cost - 1e-9) << c;
    }
    // And it is a real cost, up to rounding at the very place where an aperture comes in.
    const double nearby = std::min({cost(stops, limit, exposure, best.stops - 1e-9),
                                    cost(stops, limit, exposure, best.stops),
                                    cost(stops, limit, exposure, best.stops + 1e-9)});
    EXPECT_NEAR(nearby, best.cost, 1e-6);
  }
}

TEST(Correction, is_the_aim_where_the_film_holds_everything) {
  const std::vector<double> stops = {2, 3, 4, 5};
  EXPECT_NEAR(best_correction(stops, 9, ExposureFromAim(0.7)).stops, -0.7, 1e-12);
}

// A tenth of the frame lies 2 stops below the speed point, the rest has room: worth 0.1, while 2
// stops off the aim cost 0.12 and 1.8 stops 0.097.
TEST(Correction, a_stop_off_the_aim_weighs_as_three_hundredths_of_the_picture) {
  std::vector<double> stops(100, 4.0);
  std::fill_n(stops.begin(), 10, -2.0);
  EXPECT_NEAR(best_correction(stops, 9, ExposureFromAim(0)).stops, 0, 1e-12);
  std::fill_n(stops.begin(), 10, -1.8);
  EXPECT_NEAR(best_correction(stops, 9, ExposureFromAim(0)).stops, 1.8, 1e-12);
}

TEST(LeastLoss, counts_what_no_change_would_save) {
  const std::vector<double> stops = {0, 0, 1, 5, 10, 10, 10, 10, 10, 10};
  EXPECT_NEAR(least_loss(stops, 5), 0.3, 1e-12);
  EXPECT_NEAR(least_loss(stops, 10), 0, 1e-12);
  EXPECT_EQ(least_loss(std::vector<double>{3}, 5), 0) << "one tone always fits";
}

/// Against counting for each aperture, put at the speed point, those that the film then holds.
TEST(LeastLoss, is_what_trying_every_change_finds) {
  std::mt19937 random(3);
  std::uniform_real_distribution<> tone(-1, 9);
  for (int trial = 0; trial < 50; ++trial) {
    std::vector<double> stops(1 + random() % 12);
    for (double& one : stops) one = tone(random);
    std::ranges::sort(stops);
    const double limit = std::abs(tone(random));
    std::ptrdiff_t most = 0;
    for (const double darkest : stops) {
      most = std::max(most, std::ranges::count_if(stops, [&](double one) {
                        return one >= darkest && one <= darkest + limit;
                      }));
    }
    EXPECT_NEAR(least_loss(stops, limit),
                1 - static_cast<double>(most) / static_cast<double>(stops.size()), 1e-12);
  }
}

TEST(Verdict, changes_at_half_and_one_and_a_half) {
  EXPECT_EQ(verdict_of(Stops(0.49)), Verdict::well_exposed);
  EXPECT_EQ(verdict_of(Stops(0.5)), Verdict::under);
  EXPECT_EQ(verdict_of(Stops(1.5)), Verdict::strongly_under);
  EXPECT_EQ(verdict_of(Stops(-0.5)), Verdict::over);
  EXPECT_EQ(verdict_of(Stops(-1.5)), Verdict::strongly_over);
}

}  // namespace
}  // namespace basefog::reading

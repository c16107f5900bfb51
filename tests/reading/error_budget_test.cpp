// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/error_budget.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "makers/tabulated_film.hpp"
#include "numeric/quantile.hpp"

namespace basefog::reading {
namespace {

constexpr int kColumns = 70;
constexpr int kRows = 46;
constexpr ExposureAboveSpeedPoint kAimOnFilm(3.34);

/// A ramp of the scene on a measured film.
NetDensities ramp(double from, double to) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const double speed_point = film.log_exposure_at(0, 0.10);
  std::vector<double> density;
  for (int i = 0; i < kColumns * kRows; ++i) {
    const double x = from + (to - from) * (i % kColumns + 0.5) / kColumns;
    density.push_back(film.density_at(0, speed_point + Stops(x).log10()));
  }
  return net_densities(frame_of(kColumns, kRows, {density}), base_of(film),
                       film::generic_black_and_white(FilmSpeed(100)));
}

/// A gauge block's length [GUM, H.1], with the components in nm as worked out in [GtcH1]: the
/// standard, the block's temperature, the comparator's systematic and random errors and readings,
/// and expansion combine to 32 nm.
TEST(ErrorBudget, combines_as_the_end_gauge_of_the_GUM) {
  Swings swings;
  auto cause = swings.begin();
  for (double u : {25.0, 16.599, 6.7, 5.8, 3.9, 2.88679}) {
    *cause++ = {kNormal975 * u, kNormal975 * u, u};
  }
  EXPECT_NEAR(total(swings).per_sigma, 32, 0.5);
  const Swing all = total(swings);
  const std::array<double, 1> value = {0};
  const StopsEstimate estimate = interval(0, value, {}, all, false, false);
  EXPECT_NEAR(estimate.high->value(), 1.96 * 31.66, 0.1);
  EXPECT_NEAR(estimate.low->value(), -1.96 * 31.66, 0.1);
}

/// Four standard normal quantities added: u = 2.0 and the 95 % interval [-3.92, 3.92]; with
/// rectangular ones of the same sigma the shortest of the true distribution is [-3.88, 3.88]
/// [GUM-S1, 9.2.2 and 9.2.3]; figures from memory, not read
/// in a copy.
TEST(ErrorBudget, adds_as_the_additive_model_of_the_GUM_supplement) {
  Swings swings;
  std::fill_n(swings.begin(), 4, Swing{kNormal975, kNormal975, 1});
  EXPECT_NEAR(total(swings).per_sigma, 2.0, 1e-12);
  const std::array<double, 1> value = {0};
  const StopsEstimate sum = interval(0, value, {}, total(swings), false, false);
  EXPECT_NEAR(sum.low->value(), -3.92, 0.005);
  EXPECT_NEAR(sum.high->value(), 3.92, 0.005);
  EXPECT_NEAR(sum.high->value(), 3.88, 0.05);
}

/// Equal parts of one quantity are one error: fully correlated uncertainties add as they are, as
/// ten resistors calibrated against one standard do (0.1 ohm each, 1.0 ohm together) [GUM, 5.2.2
/// example]. Layers that share a cause are swung together here, not as a root sum of squares.
TEST(ErrorBudget, shared_errors_add_as_the_ten_resistors_of_the_GUM) {
  const NetDensities one = ramp(0.5, 5);
  NetDensities ten = one;
  ten.layers.assign(10, one.layers.front());
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(100));
  ReadingOptions options;
  options.pattern = MeteringPattern::average;
  const auto meterings = possible_meterings(options, kColumns, kRows);
  const auto by_contrast = [&](const NetDensities& densities) {
    return error_swings(densities, film, meterings,
                        kAimOnFilm)[Quantity::exposure][ErrorCause::contrast]
        .per_sigma;
  };
  const double alone = by_contrast(one);
  const double together = by_contrast(ten);
  EXPECT_NEAR(together, alone, 1e-6);
}

TEST(ErrorBudget, one_sided_bound_leaves_a_twentieth) {
  const std::array<double, 1> value = {0};
  const Swing one{kNormal975, kNormal975, 1};
  const StopsEstimate least = interval(0, value, {}, one, true, false);
  EXPECT_FALSE(least.high);
  EXPECT_NEAR(least.low->value(), -1.6449, 1e-3);  // normal quantile of 0.05
  const StopsEstimate most = interval(0, value, {}, one, false, true);
  EXPECT_FALSE(most.low);
  EXPECT_NEAR(most.high->value(), 1.6449, 1e-3);
}

// Propagation of whole distributions [GUM-S1] against the swings: all causes drawn at once from
// normal distributions.
TEST(ErrorBudget, agrees_with_monte_carlo) {
  const NetDensities densities = ramp(0.5, 5);
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(100));
  ReadingOptions options;
  options.pattern = MeteringPattern::average;
  const auto meterings = possible_meterings(options, kColumns, kRows);
  const auto swings = error_swings(densities, film, meterings, kAimOnFilm);
  const FrameNumbers nominal =
      frame_numbers(film_exposures(densities, film), meterings, kAimOnFilm);

  std::mt19937 random(11);
  std::normal_distribution<double> normal;
  constexpr int kDraws = 1000;
  EnumArray<Quantity, std::vector<double>> drawn;
  for (int draw = 0; draw < kDraws; ++draw) {
    AssumedErrors errors;
    for (double* error :
         {&errors.base, &errors.response, &errors.contrast, &errors.toe, &errors.upper_gradient,
          &errors.shoulder, &errors.highlights, &errors.clear_film}) {
      *error = normal(random);
    }
    const FrameNumbers numbers =
        frame_numbers(film_exposures(densities, film, errors), meterings, kAimOnFilm);
    for (const Quantity q : every<Quantity>()) drawn[q].push_back(numbers[q]);
  }
  for (const Quantity q :
       {Quantity::exposure, Quantity::shadow_reserve, Quantity::highlight_reach}) {
    std::sort(drawn[q].begin(), drawn[q].end());
    const Swing swing = total(swings[q]);
    const double width = swing.up + swing.down;
    EXPECT_NEAR(numeric::sorted_quantile(drawn[q], 0.025), nominal[q] - swing.down, 0.1 * width)
        << static_cast<int>(q);
    EXPECT_NEAR(numeric::sorted_quantile(drawn[q], 0.975), nominal[q] + swing.up, 0.1 * width)
        << static_cast<int>(q);
  }
}

}  // namespace
}  // namespace basefog::reading

// SPDX-License-Identifier: GPL-3.0-or-later
#include "evidence/contrast_fit.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace basefog::evidence {
namespace {

/// Two frames two stops apart of a steady camera on a film so much harder than the generic one:
/// differences of density over the triangle of ISO 6, of the first so many layers.
ContrastFit fit_of(double factor, std::size_t layers) {
  const film::FilmProfile assumed = film::generic_colour_negative(FilmSpeed(100));
  const film::FilmProfile truth = assumed.with_contrast(factor);
  ContrastProblem problem{.logged = {0, 2}, .base_sigma = {0.002, 0.002}};
  problem.exposure_sigma = 0.01;
  FramePair& pair = problem.pairs.emplace_back(FramePair{.first = 0, .second = 1});
  for (std::size_t l = 0; l < layers; ++l) {
    const film::CharacteristicCurve& curve = truth.layers[l].curve;
    for (double middle = 2; middle <= 6; middle += 0.5) {
      const double low = curve.density(Stops(middle - 1)).value();
      const double high = curve.density(Stops(middle + 1)).value();
      pair.densities.push_back(
          {.layer = l, .mean = (low + high) / 2, .difference = high - low, .sigma = 0.002});
    }
  }
  return fit_contrast(problem, assumed);
}

TEST(ContrastFit, finds_how_much_harder_a_film_is) {
  for (const double factor : {0.85, 1.0, 1.2}) {
    const ContrastFit fit = fit_of(factor, 3);
    EXPECT_NEAR(fit.log_factor, std::log(factor), 0.02) << factor;
    EXPECT_LT(std::abs(fit.log_factor - std::log(factor)), 2 * fit.log_factor_sigma) << factor;
  }
}

/// Real curves wander about the form of the assumed one, each layer on its own: three tell the mean
/// gradient better than one, by the root of three at most.
TEST(ContrastFit, three_layers_are_surer_than_one) {
  const double one = fit_of(1, 1).log_factor_sigma;
  const double three = fit_of(1, 3).log_factor_sigma;
  EXPECT_LT(three, 0.8 * one);
  EXPECT_GT(three, 0.95 * one / std::sqrt(3.0));
}

}  // namespace
}  // namespace basefog::evidence

// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/net_densities.hpp"

#include <gtest/gtest.h>

#include "makers/tabulated_film.hpp"

namespace basefog::reading {
namespace {

density::FilmBase clear_film(const std::vector<double>& densities,
                             const std::vector<double>& sigmas) {
  density::FilmBase base;
  base.kind = density::ReferenceKind::rebate;
  for (std::size_t c = 0; c < densities.size(); ++c) {
    base.density.push_back(Density::from_value(densities[c] + kScanZero));
    base.sigma.emplace_back(sigmas[c]);
  }
  return base;
}

/// Three channels see the same silver: their mean, whose noise and base are no surer than theirs,
/// and whose range ends with the first of them.
TEST(NetDensities, of_black_and_white_are_the_mean_of_the_channels) {
  density::FrameMeasurement frame = frame_of(2, 1, {{0.5, 1.4}, {0.6, 1.5}, {0.7, 1.6}});
  frame.light_known = true;
  frame.apertures.sigma = {0.01F, 0.02F, 0.02F, 0.03F, 0.03F, 0.04F};
  frame.apertures.floored[3] = 1;  // of the second channel's second aperture
  frame.densest = {Density::from_value(3.6), Density::from_value(2.2), Density::from_value(3.0)};
  const NetDensities found =
      net_densities(frame, clear_film({0.2, 0.2, 0.2}, {0.003, 0.006, 0.009}),
                    film::generic_black_and_white(FilmSpeed(100)));
  ASSERT_EQ(found.layers.size(), 1U);
  const LayerDensities& layer = found.layers[0];
  EXPECT_NEAR(layer.density[0], 0.4, 1e-6);
  EXPECT_NEAR(layer.density[1], 1.3, 1e-6);
  EXPECT_NEAR(layer.parts[1], 1.3, 1e-6);
  EXPECT_NEAR(layer.sigma[0], 0.02, 1e-6);
  EXPECT_NEAR(layer.sigma[1], 0.03, 1e-6);
  EXPECT_NEAR(layer.base_sigma, 0.006, 1e-9);
  EXPECT_NEAR(layer.densest, 2.2 - 0.2 - kScanZero, 0.011) << "less a step of its code";
  EXPECT_EQ(layer.beyond[0], 0);
  EXPECT_EQ(layer.beyond[1], 1);
}

/// A meter sees luminance: 0.2126 red, 0.7152 green, 0.0722 blue [BT709].
TEST(NetDensities, of_colour_are_one_a_layer_weighted_as_luminance) {
  const density::FrameMeasurement frame = frame_of(1, 1, {{0.5}, {0.9}, {1.2}});
  const film::FilmProfile film = film::generic_colour_negative(FilmSpeed(100));
  const NetDensities found =
      net_densities(frame, clear_film({0.2, 0.5, 0.8}, {0.01, 0.01, 0.01}), film);
  ASSERT_EQ(found.layers.size(), 3U);
  const double net[] = {0.3, 0.4, 0.4};
  const double weight[] = {0.2126, 0.7152, 0.0722};
  for (std::size_t l = 0; l < 3; ++l) {
    EXPECT_EQ(found.layers[l].layer, l);
    EXPECT_NEAR(found.layers[l].density[0], net[l], 1e-6) << l;
    EXPECT_NEAR(found.layers[l].weight, weight[l], 1e-9) << l;
    EXPECT_GT(found.layers[l].base_sigma, 0.01) << "light may be uneven between rebate and picture";
  }
  EXPECT_FALSE(found.flags.contains(Flag::colour_scanned_as_gray));
  const NetDensities gray = net_densities(frame_of(1, 1, {{0.9}}), clear_film({0.5}, {0.01}), film);
  ASSERT_EQ(gray.layers.size(), 1U);
  EXPECT_EQ(gray.layers[0].layer, 1U) << "green";
  EXPECT_TRUE(gray.flags.contains(Flag::colour_scanned_as_gray));
}

}  // namespace
}  // namespace basefog::reading

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/kept_frame.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "basefog/ensemble/roll_reading.hpp"
#include "makers/tabulated_film.hpp"

namespace basefog::ensemble {
namespace {

GroupedFrame some_frame() {
  GroupedFrame frame{.response_sigma = 0.013, .range_is_cut = true, .base_clipped = true};
  for (std::size_t l = 0; l < 3; ++l) {
    GroupedLayer layer{.layer = l, .weight = 0.3 + 0.1 * static_cast<double>(l)};
    layer.base_sigma = 0.004;
    layer.greatest_density = 2.1;
    for (int g = 0; g < 240; ++g) layer.density.push_back(-0.02 + 0.01 * g);
    frame.layers.push_back(layer);
  }
  frame.layers[1].densest = 2.5;
  for (const double probability : {0.7, 0.3}) {
    frame.metering_probability.push_back(probability);
    frame.weight.emplace_back();
    for (int g = 0; g < 240; ++g) frame.weight.back().push_back(0.004 + 1e-5 * g * probability);
  }
  frame.beyond.assign(240, 0.0);
  frame.beyond.back() = 0.75;
  return frame;
}

TEST(KeptFrame, comes_back_as_it_was) {
  const GroupedFrame frame = some_frame();
  const auto back = kept(keep(frame));
  ASSERT_TRUE(back);
  EXPECT_TRUE(back->range_is_cut);
  EXPECT_FALSE(back->own_base);
  EXPECT_TRUE(back->base_clipped);
  EXPECT_NEAR(back->response_sigma, 0.013, 1e-8);
  ASSERT_EQ(back->layers.size(), 3U);
  EXPECT_EQ(back->layers[2].layer, 2U);
  EXPECT_TRUE(std::isinf(back->layers[0].densest));
  EXPECT_NEAR(back->layers[1].densest, 2.5, 1e-6);
  EXPECT_NEAR(back->metering_probability[1], 0.3, 1e-7);
  for (std::size_t g = 0; g < 240; ++g) {
    EXPECT_NEAR(back->layers[0].density[g], frame.layers[0].density[g], 7e-5);
    EXPECT_NEAR(back->weight[1][g] / frame.weight[1][g], 1, 2e-5);
    EXPECT_NEAR(back->beyond[g], frame.beyond[g], 1e-5);
  }
}

TEST(KeptFrame, is_a_few_kilobytes) { EXPECT_LT(keep(some_frame()).size(), 3000U); }

// Every length, and every byte changed: refused, or a frame that can be read.
TEST(KeptFrame, damaged_bytes_are_refused_or_harmless) {
  const std::string bytes = keep(some_frame());
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    EXPECT_FALSE(kept(bytes.substr(0, size))) << size;
  }
  EXPECT_FALSE(kept(bytes + "x"));
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::string damaged = bytes;
    damaged[i] = static_cast<char>(damaged[i] ^ 0xff);
    const auto frame = kept(damaged);
    if (!frame) continue;
    EXPECT_LE(frame->layers.size(), 8U);
    for (const GroupedLayer& layer : frame->layers) {
      EXPECT_EQ(layer.density.size(), frame->groups());
      EXPECT_TRUE(std::isfinite(layer.greatest_density));
    }
  }
}

// A roll of ramps on a table of a film, read and read again from what was kept.
TEST(KeptFrame, a_roll_reads_again_as_it_read) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const density::FilmBase base = base_of(film);
  std::vector<density::FrameMeasurement> frames;
  for (int f = 0; f < 4; ++f) {
    std::vector<double> density;
    for (int i = 0; i < 864; ++i) {
      density.push_back(film.density_at(0, film.log_exposure_at(0, 0.1) + 0.2 * f + i / 500.0));
    }
    frames.push_back(frame_of(36, 24, {density}));
  }
  std::vector<FrameToRead> to_read;
  for (const auto& frame : frames) {
    to_read.push_back({.measurement = &frame, .base = &base, .asked = ExposureFromAim(0.3)});
  }
  const film::FilmProfile profile = film::generic_black_and_white(FilmSpeed(100));
  const Aim aim{.film_speed = FilmSpeed(100)};
  const RollReading read = read_roll(to_read, profile, aim);
  std::vector<KeptFrame> small;
  for (const std::string& bytes : read.kept) small.push_back({bytes, ExposureFromAim(0.3)});
  const auto again = read_kept(small, profile, aim);
  ASSERT_TRUE(again);
  for (std::size_t f = 0; f < 4; ++f) {
    const auto& exposure = read.frames[f].exposure.estimate;
    EXPECT_NEAR(((*again)[f].exposure.estimate.value - exposure.value).value(), 0, 0.005);
    EXPECT_NEAR(
        ((*again)[f].correction.estimate.value - read.frames[f].correction.estimate.value).value(),
        0, 0.02);
    EXPECT_NEAR((*again)[f].exposure.budget[reading::ErrorCause::contrast],
                read.frames[f].exposure.budget[reading::ErrorCause::contrast], 0.01);
  }
  small[2].bytes.pop_back();
  EXPECT_FALSE(read_kept(small, profile, aim));
}

}  // namespace
}  // namespace basefog::ensemble

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/technique.hpp"

#include <gtest/gtest.h>

#include <random>

namespace basefog::meter {
namespace {

TechniqueSample sample(const std::string& scene, double technique, double asked = 0,
                       std::optional<log::ExposureMode> mode = std::nullopt, double sigma = 0.1) {
  TechniqueSample s{.technique = Stops(technique), .asked = Stops(asked), .sigma = sigma};
  s.scene = scene;
  s.mode = mode;
  return s;
}

const SceneTechnique* find(const std::vector<SceneTechnique>& all, const std::string& scene,
                           std::optional<log::ExposureMode> mode = std::nullopt) {
  for (const SceneTechnique& t : all) {
    if (t.scene == scene && t.mode == mode) return &t;
  }
  return nullptr;
}

TEST(Technique, is_the_mean_of_a_scene_s_frames_drawn_a_little_to_zero) {
  std::vector<TechniqueSample> samples;
  for (const double t : {1.2, 1.5, 1.3, 1.6, 1.4}) samples.push_back(sample("backlit", t));
  for (int i = 0; i < 10; ++i) samples.push_back(sample("street", 0.1 * (i % 3 - 1)));
  const auto all = fit_technique(samples);
  ASSERT_NE(find(all, "backlit"), nullptr);
  const SceneTechnique& backlit = *find(all, "backlit");
  EXPECT_NEAR(backlit.stops.value.value(), 1.4, 0.15);
  EXPECT_LT(backlit.stops.value, Stops(1.4));
  EXPECT_GT(*backlit.stops.low, Stops(0.5));
  EXPECT_EQ(backlit.frames, 5);
  EXPECT_EQ(all.front().scene, "backlit") << "what needs most comes first";
  EXPECT_NEAR(find(all, "street")->stops.value.value(), 0, 0.15);
}

// What a roll's frames share does not average out over them, but over rolls.
TEST(Technique, is_no_surer_than_the_films_of_its_rolls) {
  const auto half_width = [](int rolls, double shared) {
    std::vector<TechniqueSample> samples;
    for (int r = 0; r < rolls; ++r) {
      for (int i = 0; i < 24; ++i) {
        samples.push_back(sample("backlit", 1.2 + 0.1 * (i % 3 - 1)));
        samples.back().roll = std::to_string(r);
        samples.back().shared[reading::ErrorCause::contrast] = shared;
      }
    }
    const StopsEstimate stops = fit_technique(samples).front().stops;
    return (*stops.high - *stops.low).value() / 2;
  };
  EXPECT_GT(half_width(1, 0.3), 1.96 * 0.25);
  EXPECT_LT(half_width(1, 0.3), 1.96 * 0.31);
  EXPECT_LT(half_width(1, 0.0), 1.96 * 0.12);
  EXPECT_NEAR(half_width(9, 0.3), half_width(1, 0.3) / 3, 0.06);
}

TEST(Technique, one_frame_says_little) {
  const auto all = fit_technique(std::vector{sample("snow", 2.0)});
  ASSERT_EQ(all.size(), 1U);
  EXPECT_LT(all[0].stops.value, Stops(1.9));
  EXPECT_GT((*all[0].stops.high - *all[0].stops.low).value(), 1.5);
}

TEST(Technique, what_was_dialled_for_the_scene_counts) {
  // Frames with +1 dialled that then lacked 0.3, and frames with nothing dialled that lacked 1.3,
  // say the same of the scene.
  std::vector<TechniqueSample> samples;
  for (int i = 0; i < 4; ++i) samples.push_back(sample("backlit", 0.3, 1));
  for (int i = 0; i < 4; ++i) samples.push_back(sample("backlit", 1.3, 0));
  const auto all = fit_technique(samples);
  EXPECT_NEAR(all[0].stops.value.value(), 1.3, 0.12);
  EXPECT_NEAR(all[0].asked.value(), 0.5, 1e-9);
}

TEST(Technique, words_count_in_any_spelling_and_each_on_its_own) {
  std::vector<TechniqueSample> samples;
  for (int i = 0; i < 6; ++i) samples.push_back(sample(i % 2 == 0 ? "Backlit" : " backlit ", 1));
  for (int i = 0; i < 6; ++i) samples.push_back(sample("portrait, backlit", 1));
  const auto all = fit_technique(samples);
  ASSERT_NE(find(all, "Backlit"), nullptr);
  EXPECT_EQ(find(all, "Backlit")->frames, 12);
  EXPECT_EQ(find(all, "portrait")->frames, 6);
  EXPECT_EQ(all.size(), 2U);
}

TEST(Technique, modes_stand_apart_where_both_have_frames) {
  std::vector<TechniqueSample> samples;
  for (int i = 0; i < 5; ++i) samples.push_back(sample("snow", 1.6, 0, log::ExposureMode::manual));
  for (int i = 0; i < 5; ++i) {
    samples.push_back(sample("snow", 1.0, 0, log::ExposureMode::aperture_priority));
  }
  samples.push_back(sample("beach", 1.0, 0, log::ExposureMode::manual));
  const auto all = fit_technique(samples);
  ASSERT_NE(find(all, "snow", log::ExposureMode::manual), nullptr);
  EXPECT_GT(find(all, "snow", log::ExposureMode::manual)->stops.value,
            find(all, "snow", log::ExposureMode::aperture_priority)->stops.value);
  EXPECT_EQ(find(all, "snow")->frames, 10);
  EXPECT_EQ(find(all, "beach", log::ExposureMode::manual), nullptr);
}

TEST(Technique, intervals_hold_the_truth_as_often_as_they_say) {
  std::mt19937 random(9);
  std::normal_distribution<> normal;
  int held = 0;
  int all = 0;
  for (int roll = 0; roll < 200; ++roll) {
    std::vector<TechniqueSample> samples;
    const double truth[] = {1.0 * normal(random), 1.0 * normal(random), 1.0 * normal(random)};
    const char* scenes[] = {"snow", "backlit", "street"};
    for (int i = 0; i < 24; ++i) {
      const int k = i % 3;
      samples.push_back(sample(scenes[k], truth[k] + 0.5 * normal(random) + 0.2 * normal(random), 0,
                               std::nullopt, 0.2));
    }
    const auto fitted = fit_technique(samples);
    for (int k = 0; k < 3; ++k) {
      const StopsEstimate& stops = find(fitted, scenes[k])->stops;
      held += stops.low->value() <= truth[k] && truth[k] <= stops.high->value();
      ++all;
    }
  }
  EXPECT_GE(held, all * 92 / 100);
  EXPECT_LE(held, all * 99 / 100);
}

TEST(Technique, nothing_without_words) {
  EXPECT_TRUE(fit_technique({}).empty());
  EXPECT_TRUE(fit_technique(std::vector{sample("", 1)}).empty());
}

}  // namespace
}  // namespace basefog::meter

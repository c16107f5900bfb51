// SPDX-License-Identifier: GPL-3.0-or-later
// The mixed model against R's lme4 1.1.31 [Bates2015] and MASS 7.3.58.2 [Venables2002] (R 4.2.2),
// run on data that come with them [Davies1972], [Venables2002];
// tests/golden/mixed_model/make_golden.R made the numbers. And against certified linear problems of
// NIST's Statistical Reference Datasets [NISTStRD], typed from memory and proved by their certified
// residual standard deviations.
#include "numeric/mixed_model.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>
#include <sstream>
#include <string>

namespace basefog::numeric {
namespace {

constexpr double kFlat = 1e4;  // a prior that says nothing, against data of a few units

std::vector<std::vector<double>> table(const std::string& name) {
  std::ifstream file(std::string(BASEFOG_GOLDEN) + "/mixed_model/" + name);
  std::string line;
  std::getline(file, line);
  std::vector<std::vector<double>> rows;
  while (std::getline(file, line)) {
    std::replace(line.begin(), line.end(), ',', ' ');
    std::istringstream in(line);
    std::vector<double>& row = rows.emplace_back();
    for (double value = 0; in >> value;) row.push_back(value);
  }
  return rows;
}

// lmer's REML estimates for diameter ~ 1 + (1 | plate) + (1 | sample) [Bates2015].
constexpr double kPlateSigma = 0.846702510331;
constexpr double kSampleSigma = 1.931613792223;
constexpr double kResidualSigma = 0.549922682063;
constexpr double kIntercept = 22.9722222222;
constexpr double kInterceptSigma = 0.808595361386;
const std::vector<double> kPlates = {
    0.80454690584,  0.80454690584, 0.18167188196,  0.33739063793,  0.02595312599,  -0.44120314191,
    -1.37551567773, 0.80454690584, -0.75264065385, -0.75264065385, 0.96026566181,  0.49310939390,
    1.42742192972,  0.49310939390, 0.96026566181,  0.02595312599,  -0.28548438594, -0.28548438594,
    -1.37551567773, 0.96026566181, -0.90835940982, -0.28548438594, -0.59692189788, -1.21979692176};
const std::vector<double> kSamples = {2.18705840183,  -1.01047635021, 1.93789984972,
                                      -0.09689499249, -0.01384214178, -3.00374476707};

/// Samples are global effects, plates either global too or the blocks.
MixedModel penicillin(bool plates_are_blocks) {
  MixedModel model;
  model.noise_freedom = MixedModel::kNormalNoise;
  model.extra = {0};
  model.global.assign(1, {.sigma = kFlat});
  for (std::size_t i = 0; i < kSamples.size(); ++i) model.global.push_back({.sigma = kSampleSigma});
  if (plates_are_blocks) {
    model.local = {{.sigma = kPlateSigma}};
    model.blocks = static_cast<int>(kPlates.size());
  } else {
    for (std::size_t i = 0; i < kPlates.size(); ++i) model.global.push_back({.sigma = kPlateSigma});
  }
  for (const std::vector<double>& data : table("penicillin.csv")) {
    MixedModel::Row row{.y = data[0], .known_variance = kResidualSigma * kResidualSigma};
    const int plate = static_cast<int>(data[1]);
    row.global = {{0, 1.0}, {1 + static_cast<int>(data[2]), 1.0}};
    if (plates_are_blocks) {
      row.block = plate;
      row.local = Eigen::VectorXd::Ones(1);
    } else {
      row.global.emplace_back(7 + plate, 1.0);
      row.local.resize(0);
    }
    model.rows.push_back(std::move(row));
  }
  return model;
}

TEST(MixedModel, crossed_effects_match_lme4) {
  const MixedFit found = fit(penicillin(false));
  ASSERT_EQ(found.weight.size(), 144U);
  EXPECT_NEAR(found.global(0), kIntercept, 1e-6);
  EXPECT_NEAR(std::sqrt(found.covariance(0, 0)), kInterceptSigma, 1e-6);
  for (std::size_t i = 0; i < kSamples.size(); ++i) {
    EXPECT_NEAR(found.global(static_cast<Eigen::Index>(1 + i)), kSamples[i], 1e-6);
  }
  for (std::size_t i = 0; i < kPlates.size(); ++i) {
    EXPECT_NEAR(found.global(static_cast<Eigen::Index>(7 + i)), kPlates[i], 1e-6);
  }
}

TEST(MixedModel, effects_of_blocks_match_lme4) {
  const MixedFit found = fit(penicillin(true));
  EXPECT_NEAR(found.global(0), kIntercept, 1e-6);
  EXPECT_NEAR(std::sqrt(found.covariance(0, 0)), kInterceptSigma, 1e-6);
  for (std::size_t i = 0; i < kPlates.size(); ++i) {
    EXPECT_NEAR(found.local[i](0), kPlates[i], 1e-6);
  }
  // A local effect's spread is the same whether it is eliminated or kept.
  const MixedFit kept = fit(penicillin(false));
  EXPECT_NEAR(found.local_sigma[3](0), std::sqrt(kept.covariance(10, 10)), 1e-9);
}

/// y = a + b x with a flat prior on both.
MixedModel line(const std::vector<std::pair<double, double>>& xy, bool through_zero = false) {
  MixedModel model;
  model.noise_freedom = MixedModel::kNormalNoise;
  model.extra = {0};
  model.global.assign(through_zero ? 1 : 2, {.sigma = 1e8});
  for (const auto& [x, y] : xy) {
    MixedModel::Row row{.y = y, .known_variance = 1};
    row.global.emplace_back(0, x);
    if (!through_zero) row.global.emplace_back(1, 1.0);
    row.local.resize(0);
    model.rows.push_back(std::move(row));
  }
  return model;
}

double residual_sigma(const MixedModel& model, const MixedFit& found) {
  double sum = 0;
  for (const MixedModel::Row& row : model.rows) {
    double residual = row.y;
    for (const auto& [column, value] : row.global) residual -= value * found.global(column);
    sum += residual * residual;
  }
  return std::sqrt(sum / static_cast<double>(model.rows.size() - model.global.size()));
}

TEST(MixedModel, norris_matches_NISTStRD) {
  const MixedModel model =
      line({{0.2, 0.1},     {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2},
            {226.5, 228.1}, {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9},
            {558.2, 559.2}, {0.4, 0.3},     {0.6, 0.1},     {775.5, 778.1}, {666.9, 668.8},
            {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},   {556.0, 557.7}, {228.1, 228.3},
            {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3},     {0.3, 0.6},
            {556.8, 557.6}, {339.1, 339.3}, {887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9},
            {11.1, 10.2},   {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2},
            {0.5, 0.2}});
  const MixedFit found = fit(model);
  const double sigma = residual_sigma(model, found);
  EXPECT_NEAR(sigma, 0.884796396144373, 1e-9);
  EXPECT_NEAR(found.global(0), 1.00211681802045, 1e-9);
  EXPECT_NEAR(found.global(1), -0.262323073774029, 1e-8);
  EXPECT_NEAR(sigma * std::sqrt(found.covariance(0, 0)), 0.429796848199937e-3, 1e-9);
  EXPECT_NEAR(sigma * std::sqrt(found.covariance(1, 1)), 0.232818234301152, 1e-8);
}

TEST(MixedModel, lines_through_zero_match_NISTStRD) {
  std::vector<std::pair<double, double>> xy;
  for (int i = 0; i <= 10; ++i) xy.emplace_back(60 + i, 130 + i);
  const MixedModel first = line(xy, true);
  const MixedFit no_int_1 = fit(first);
  EXPECT_NEAR(no_int_1.global(0), 2.07438016528926, 1e-10);
  const double sigma = residual_sigma(first, no_int_1);
  EXPECT_NEAR(sigma, 3.56753034006338, 1e-9);
  EXPECT_NEAR(sigma * std::sqrt(no_int_1.covariance(0, 0)), 0.0165289256198347, 1e-10);
  EXPECT_NEAR(fit(line({{4, 3}, {5, 4}, {6, 4}}, true)).global(0), 0.727272727272727, 1e-10);
}

TEST(MixedModel, wild_rows_count_as_little_as_for_rlm) {
  MixedModel model;
  model.extra = {0};
  model.global.assign(2, {.sigma = kFlat});
  constexpr double kScale = 1.616429709;  // rlm's own at the end, weights of t with 4 degrees
  for (const std::vector<double>& data : table("phones.csv")) {
    MixedModel::Row row{.y = data[1], .known_variance = kScale * kScale};
    row.global = {{0, 1.0}, {1, data[0] - 60}};
    row.local.resize(0);
    model.rows.push_back(std::move(row));
  }
  const MixedFit found = fit(model);
  // Least squares gives 42.4 and 5.04. Ours also weighs what is uncertain of the line itself, so
  // the two agree to a fraction of their standard errors, 0.309 and 0.0437.
  EXPECT_NEAR(found.global(0), 13.649385314, 0.15 * 0.309);
  EXPECT_NEAR(found.global(1), 1.116112735, 0.15 * 0.0437);
  for (std::size_t i = 14; i < 20; ++i) EXPECT_LT(found.weight[i], 0.01) << i;
}

TEST(MixedModel, a_heavy_tailed_block_does_not_draw_the_others) {
  std::mt19937 random(3);
  std::normal_distribution<> normal(0, 0.1);
  const auto mean_with = [&](bool heavy) {
    MixedModel model;
    model.extra = {0};
    model.global = {{.sigma = kFlat}};
    model.local = {{.sigma = 0.1, .heavy_tailed = heavy}};
    model.blocks = 8;
    std::mt19937 same = random;
    for (int i = 0; i < 80; ++i) {
      MixedModel::Row row{.y = normal(same) + (i % 8 == 0 ? 1.5 : 0), .known_variance = 0.01};
      row.block = i % 8;
      row.global = {{0, 1.0}};
      row.local = Eigen::VectorXd::Ones(1);
      model.rows.push_back(std::move(row));
    }
    return fit(model).global(0);
  };
  EXPECT_GT(mean_with(false), 0.1);
  EXPECT_LT(mean_with(true), 0.06);
}

TEST(MixedModel, finds_the_scale_of_noise_that_is_not_known) {
  std::mt19937 random(4);
  std::normal_distribution<> normal(0, 0.5);
  MixedModel model;
  model.noise_freedom = MixedModel::kNormalNoise;
  model.extra = {0.3};
  model.global = {{.sigma = kFlat}};
  for (int i = 0; i < 2000; ++i) {
    MixedModel::Row row{.y = normal(random), .known_variance = 0.09};
    row.global = {{0, 1.0}};
    row.local.resize(0);
    model.rows.push_back(std::move(row));
  }
  EXPECT_NEAR(fit(model).extra[0], 0.4, 0.03);  // 0.5² = 0.3² + 0.4²
}

}  // namespace
}  // namespace basefog::numeric

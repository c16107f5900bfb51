// SPDX-License-Identifier: GPL-3.0-or-later
// Rolls of scenes on films by their published tables, their scans coded in several ways and read as
// if codes were proportional to light.
#include "roll/response_evidence.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>
#include <utility>

#include "makers/tabulated_film.hpp"

namespace basefog::roll {
namespace {

constexpr int kColumns = 36;
constexpr int kRows = 24;

/// From the density that is to the one that codes read as linear show.
using Coding = std::function<double(double density)>;

Coding power(double exponent) {
  return [=](double density) { return density / exponent; };
}
/// [IEC61966-2-1].
double srgb(double density) {
  const double light = std::pow(10.0, -density);
  const double code = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
  return -std::log10(code);
}

/// Scenes of 0.5 to 9 stops, exposed within a stop and a half of the middle of the film.
std::vector<density::FrameMeasurement> roll_on(const TabulatedFilm& film, int frames, bool balanced,
                                               unsigned seed, const Coding& coded) {
  std::minstd_rand random(seed);
  std::weibull_distribution<double> range(3, 5.2 / std::tgamma(1 + 1 / 3.0));
  std::uniform_real_distribution<double> off(-1.5, 1.5);
  constexpr double kClear = 0.07;  // density at which clear film stands in the scan
  const std::size_t layers = film.density.size();
  // A scanner that is not balanced lays no channel above its brightest.
  const auto zero = [&](std::size_t l) {
    return (balanced ? film.base[l] : film.base[0]) - kClear;
  };
  const double middle = film.log_exposure_at(0, 0.10) + 1.0;
  std::vector<density::FrameMeasurement> roll;
  for (int f = 0; f < frames; ++f) {
    const double whole = range(random) / 0.96;
    const double centre = off(random);
    std::vector<std::vector<double>> densities(layers);
    for (std::size_t l = 0; l < layers; ++l) {
      for (int i = 0; i < kColumns * kRows; ++i) {
        const double stops = centre + whole * ((i + 0.5) / (kColumns * kRows) - 0.5);
        const double density = film.density_at(l, middle + stops * kLog10PerStop) - zero(l);
        densities[l].push_back(coded(density) - kScanZero);
      }
    }
    density::FrameMeasurement& frame = roll.emplace_back(frame_of(kColumns, kRows, densities));
    frame.rebate.kind = density::ReferenceKind::rebate;
    for (std::size_t l = 0; l < layers; ++l) {
      frame.rebate.density.push_back(Density::from_value(coded(film.base[l] - zero(l))));
      frame.rebate.sigma.push_back(DensityDifference(0.004));
    }
    frame.response.source = {response::SourceKind::assumed_tiff};
  }
  return roll;
}

struct Way {
  Coding coding;
  bool tone_curve;
};
std::vector<Way> ways() {
  return {{power(0.74), false},
          {power(1.0), false},
          {power(1.8), true},
          {srgb, true},
          {power(2.2), true}};
}

struct Counts {
  int right = 0, torn = 0, wrong = 0;
};
Counts judged(const TabulatedFilm& film, int frames, bool balanced) {
  Counts counts;
  for (unsigned seed = 1; seed <= 10; ++seed) {
    for (const Way& way : ways()) {
      const auto roll = roll_on(film, frames, balanced, seed, way.coding);
      const auto chance = chance_of_tone_curve(roll);
      if (is_torn(chance)) {
        ++counts.torn;
      } else {
        ++((*chance > 0.5) == way.tone_curve ? counts.right : counts.wrong);
      }
    }
  }
  return counts;
}

// 450 rolls: 313 were taken for what they are, 137 asked about, none taken wrongly.
TEST(ResponseEvidence, is_seldom_sure_of_a_wrong_way) {
  Counts all;
  const auto add = [&](const Counts& counts) {
    all.right += counts.right;
    all.torn += counts.torn;
    all.wrong += counts.wrong;
  };
  for (const char* time : {"6 min", "8.5 min", "12 min"}) {
    add(judged(read_film("densitometer/six_development_times.csv", {time}), 12, false));
  }
  for (const char* name : {"E4050", "E4051", "E4046"}) {
    const TabulatedFilm film = read_film(std::string("curves/") + name + ".csv", {"R", "G", "B"});
    add(judged(film, 12, false));
    add(judged(film, 12, true));
  }
  EXPECT_EQ(all.right + all.torn + all.wrong, 450);
  EXPECT_LE(all.wrong, 4);
  EXPECT_GE(all.right, 290);
}

TEST(ResponseEvidence, says_nothing_where_a_response_is_stated) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  auto roll = roll_on(film, 6, false, 1, power(1));
  roll[3].response.source = {response::SourceKind::option, "linear"};
  EXPECT_FALSE(chance_of_tone_curve(roll));
  for (density::FrameMeasurement& frame : roll) frame.rebate = {};
  EXPECT_FALSE(chance_of_tone_curve({}));
}

TEST(ResponseEvidence, asks_only_where_it_is_torn) {
  EXPECT_TRUE(ask_for_response(std::nullopt).empty());
  EXPECT_TRUE(ask_for_response(0.995).empty());
  EXPECT_TRUE(ask_for_response(0.005).empty());
  const auto questions = ask_for_response(0.3);
  ASSERT_EQ(questions.size(), 1U);
  EXPECT_EQ(questions[0].about, QuestionAbout::response);
  EXPECT_EQ(questions[0].choices[0].option, "--response linear");
  EXPECT_DOUBLE_EQ(*questions[0].choices[0].chance, 0.7);
  EXPECT_EQ(questions[0].choices[1].option, "--response srgb");
}

}  // namespace
}  // namespace basefog::roll

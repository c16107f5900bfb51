// SPDX-License-Identifier: GPL-3.0-or-later
// Grouped frames against reading every aperture.
#include "ensemble/grouped_frame.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "ensemble/frame_under_film.hpp"
#include "makers/tabulated_film.hpp"
#include "numeric/quantile.hpp"
#include "reading/correction.hpp"
#include "reading/film_exposures.hpp"

namespace basefog::ensemble {
namespace {

using reading::Quantity;

constexpr int kColumns = 70;
constexpr int kRows = 46;

/// A sky, a ground and detail all over, in stops from the middle.
std::vector<double> picture(unsigned seed, double detail) {
  std::minstd_rand random(seed);
  std::normal_distribution<double> normal(0, detail);
  std::vector<double> stops;
  for (int y = 0; y < kRows; ++y) {
    for (int x = 0; x < kColumns; ++x) {
      stops.push_back((y < kRows / 3 ? 2.0 : -0.5) + 1.5 * x / kColumns + normal(random));
    }
  }
  return stops;
}

density::FrameMeasurement on_film(const TabulatedFilm& film, const std::vector<double>& stops,
                                  double middle) {
  std::vector<std::vector<double>> densities;
  const double speed_point = film.log_exposure_at(0, film.density.size() > 1 ? 0.15 : 0.10);
  for (std::size_t l = 0; l < film.density.size(); ++l) {
    std::vector<double>& layer = densities.emplace_back();
    for (std::size_t i = 0; i < stops.size(); ++i) {
      // Colours differ over the frame.
      const double colour =
          film.density.size() > 1
              ? 0.4 * std::sin(0.7 * static_cast<double>(i) + 2.0 * static_cast<double>(l))
              : 0;
      layer.push_back(
          film.density_at(l, speed_point + (middle + stops[i] + colour) * kLog10PerStop));
    }
  }
  return frame_of(kColumns, kRows, densities);
}

/// A member whose film is harder by so much, all else as measured.
Member harder(const film::FilmProfile& film, double factor) {
  Member member;
  member.z[Latent::contrast] = (factor - 1) / film.contrast_relative_sigma;
  return member;
}

/// The answers from every aperture, in stops from their zeros.
EnumArray<Quantity, double> by_every_aperture(const reading::FilmExposures& exposures,
                                              const reading::PossibleMetering& metering,
                                              ExposureAboveSpeedPoint aim) {
  double light = 0;
  for (std::size_t i = 0; i < metering.weight.size(); ++i) {
    light += metering.weight[i] * exposures.exposure[i];
  }
  std::vector<double> sorted = exposures.above_speed;
  std::ranges::sort(sorted);
  EnumArray<Quantity, double> numbers{};
  numbers[Quantity::exposure] = std::log2(light) - aim.value();
  numbers[Quantity::shadow_reserve] = numeric::sorted_quantile(sorted, reading::kShadowPercentile);
  numbers[Quantity::highlight_reach] =
      numeric::sorted_quantile(sorted, reading::kHighlightPercentile);
  numbers[Quantity::highlight_room] =
      exposures.highlight_limit - numbers[Quantity::highlight_reach];
  numbers[Quantity::correction] =
      reading::best_correction(sorted, exposures.highlight_limit,
                               ExposureFromAim(numbers[Quantity::exposure]))
          .stops;
  return numbers;
}

/// What a change of exposure costs, as correction.hpp has it, over every aperture.
double cost_of(double change, const reading::FilmExposures& exposures, double exposure) {
  const auto lost = std::ranges::count_if(exposures.above_speed, [&](double x) {
    return x + change < 0 || x + change > exposures.highlight_limit;
  });
  const double off = exposure + change;
  return static_cast<double>(lost) / static_cast<double>(exposures.above_speed.size()) +
         reading::kAimWeight * off * off;
}

void expect_as_every_aperture(const TabulatedFilm& table, const film::FilmProfile& film) {
  const ExposureAboveSpeedPoint aim =
      above_speed_point(Aim{.film_speed = film.iso_speed}.log_exposure(), film.speed_point());
  for (const unsigned seed : {1U, 2U, 3U}) {
    const density::FrameMeasurement frame = on_film(table, picture(seed, 0.3 * seed), 1.5 + seed);
    const reading::NetDensities densities = reading::net_densities(frame, base_of(table, 0), film);
    const auto meterings =
        reading::possible_meterings({.pattern = MeteringPattern::centre_weighted}, kColumns, kRows);
    const GroupedFrame groups = group_apertures(densities, film, meterings);
    EXPECT_EQ(groups.groups(), 240U);
    for (const double factor : {0.8, 1.0, 1.2}) {
      const Member member = harder(film, factor);
      const auto grouped = read_under(groups, 0, MemberFilm(film, member), aim);
      reading::AssumedErrors errors;
      errors.contrast = member.z[Latent::contrast];
      const reading::FilmExposures exposures = reading::film_exposures(densities, film, errors);
      const auto all = by_every_aperture(exposures, meterings.front(), aim);
      for (const Quantity q : {Quantity::exposure, Quantity::shadow_reserve,
                               Quantity::highlight_reach, Quantity::highlight_room}) {
        EXPECT_NEAR(grouped.value[q], all[q], 0.05)
            << "seed " << seed << " factor " << factor << " quantity " << static_cast<int>(q);
      }
      // Far corrections may cost nearly the same: what counts is how much the found one loses.
      const double found = grouped.value[Quantity::correction];
      const double best = all[Quantity::correction];
      const double exposure = all[Quantity::exposure];
      EXPECT_LT(cost_of(found, exposures, exposure), cost_of(best, exposures, exposure) + 0.005)
          << "seed " << seed << " factor " << factor;
    }
  }
}

TEST(GroupedFrame, is_as_good_as_every_aperture) {
  expect_as_every_aperture(read_film("densitometer/six_development_times.csv", {"8.5 min"}),
                           film::generic_black_and_white(FilmSpeed(100)).with_shoulder(Stops(3)));
}

TEST(GroupedFrame, weights_are_the_meterings) {
  const TabulatedFilm table = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(100));
  const density::FrameMeasurement frame =
      on_film(table, std::vector<double>(kColumns * kRows, 0.0), 3);
  const reading::NetDensities densities = reading::net_densities(frame, base_of(table), film);
  const auto meterings = reading::possible_meterings({}, kColumns, kRows);
  const GroupedFrame groups = group_apertures(densities, film, meterings);
  ASSERT_EQ(groups.weight.size(), meterings.size());
  for (const std::vector<double>& weights : groups.weight) {
    double sum = 0;
    for (const double weight : weights) sum += weight;
    EXPECT_NEAR(sum, 1, 1e-9);
  }
}

}  // namespace
}  // namespace basefog::ensemble

// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/layer_readings.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/core/film_facts.hpp"
#include "basefog/film/sensitometry.hpp"
#include "reading/error_budget.hpp"
#include "reading/hidden_light.hpp"
#include "reading/known_bounds.hpp"

namespace basefog::reading {
namespace {

enum Layer : std::size_t { kRed, kGreen, kBlue, kLayers };

/// A layer alone is short of light where its shadows lie this many stops below the others': half of
/// what lamp light takes from blue (judgement).
constexpr double kStarved = 1.0;

/// One layer's numbers before they are put into words.
struct Read {
  FrameNumbers numbers;
  EnumArray<Quantity, Swings> swings;
  LayerReading reading;
};

Read read_layer(const NetDensities& densities, std::size_t index, const film::FilmProfile& film,
                std::span<const PossibleMetering> meterings, ExposureAboveSpeedPoint aim,
                bool base_clipped) {
  const film::CharacteristicCurve& curve = film.layers[index].curve;
  const Stops threshold = curve.where(film_facts::kIso5800SpeedDensity).value_or(Stops(0));
  film::FilmProfile alone = film;
  alone.layers = {{film.layers[index].name, curve.counted_from(threshold)}};
  NetDensities seen;
  seen.columns = densities.columns;
  seen.rows = densities.rows;
  seen.parts_per_aperture = densities.parts_per_aperture;
  seen.response_sigma = densities.response_sigma;
  seen.layers = {densities.layers[index]};
  seen.layers.front().layer = 0;

  const ExposureAboveSpeedPoint own_aim = aim - threshold;
  const FilmExposures exposures = film_exposures(seen, alone);
  Read read{frame_numbers(exposures, meterings, own_aim),
            error_swings(seen, alone, meterings, own_aim),
            {.name = film.layers[index].name}};
  const auto bounds = known_bounds(exposures, read.numbers, read.swings, {},
                                   hidden_light(seen, alone, meterings, exposures), base_clipped);
  const auto estimate = [&](Quantity q, std::span<const double> possible) {
    return interval(read.numbers[q], possible, meterings, total(read.swings[q]), bounds[q].at_least,
                    bounds[q].at_most);
  };
  const auto single = [&](Quantity q) { return estimate(q, std::array{read.numbers[q]}); };
  read.reading.exposure =
      from_stops<ExposureFromAim>(estimate(Quantity::exposure, read.numbers.exposure));
  read.reading.shadow_reserve =
      from_stops<ExposureAboveSpeedPoint>(single(Quantity::shadow_reserve));
  hold_at_clear_film(read.reading.shadow_reserve);
  read.reading.highlight_room = single(Quantity::highlight_room);
  return read;
}

/// Errors that move both layers alike cancel; each channel's base and noise are its own.
double sigma_of_difference(const Read& a, const Read& b, const film::FilmProfile& film,
                           double difference) {
  double variance = 0;
  for (const ErrorCause cause : every<ErrorCause>()) {
    const auto per_sigma = [&](const Read& read) {
      return read.swings[Quantity::exposure][cause].per_sigma;
    };
    const bool own = cause == ErrorCause::base || cause == ErrorCause::noise;
    variance += own ? std::pow(per_sigma(a), 2) + std::pow(per_sigma(b), 2)
                    : std::pow(per_sigma(a) - per_sigma(b), 2);
  }
  const double film_sigma =
      film.contrast_is_assumed() ? film_facts::kLayerSigma : film_facts::kMeasuredLayerSigma;
  return std::hypot(std::sqrt(variance), film_sigma, film_facts::kUnmixedSigma * difference);
}

StopsEstimate difference(const Read& a, const Read& b, const film::FilmProfile& film) {
  const double value = a.numbers[Quantity::exposure] - b.numbers[Quantity::exposure];
  StopsEstimate estimate =
      normal_estimate(Stops(value), Stops(sigma_of_difference(a, b, film, value)));
  const Estimate<ExposureFromAim>& more = a.reading.exposure;
  const Estimate<ExposureFromAim>& less = b.reading.exposure;
  if (!more.low || !less.high) estimate.low.reset();
  if (!more.high || !less.low) estimate.high.reset();
  return estimate;
}

bool one_starved(const std::array<Read, kLayers>& read) {
  std::array<double, kLayers> reserve{};
  for (std::size_t l = 0; l < kLayers; ++l) {
    reserve[l] = read[l].numbers[Quantity::shadow_reserve];
  }
  std::sort(reserve.begin(), reserve.end());
  return reserve[0] < 0 && reserve[1] >= 0 && reserve[1] - reserve[0] >= kStarved;
}

}  // namespace

LayerReadings read_layers(const NetDensities& densities, const film::FilmProfile& film,
                          std::span<const PossibleMetering> meterings, ExposureAboveSpeedPoint aim,
                          bool base_clipped) {
  if (film.layers.size() != kLayers || densities.layers.size() != kLayers) return {};
  const auto read_one = [&](Layer layer) {
    return read_layer(densities, layer, film, meterings, aim, base_clipped);
  };
  const std::array<Read, kLayers> read = {read_one(kRed), read_one(kGreen), read_one(kBlue)};
  LayerReadings result;
  for (const Read& one : read) result.layers.push_back(one.reading);
  result.light_colour = LightColour{difference(read[kRed], read[kGreen], film),
                                    difference(read[kBlue], read[kGreen], film)};
  result.one_starved = one_starved(read);
  return result;
}

}  // namespace basefog::reading

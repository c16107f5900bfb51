// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/reading/frame_reading.hpp"

#include <algorithm>
#include <stdexcept>
#include <type_traits>

#include "reading/correction.hpp"
#include "reading/error_budget.hpp"
#include "reading/frame_numbers.hpp"
#include "reading/hidden_light.hpp"
#include "reading/known_bounds.hpp"
#include "reading/layer_readings.hpp"
#include "reading/metering.hpp"
#include "reading/net_densities.hpp"
#include "reading/stops_histogram.hpp"

namespace basefog::reading {
namespace {

/// A tenth of the frame: what no change of exposure could save makes the range longer than the
/// film's. Two percent at each end are the percentiles' own, lamps and deep shade most of the rest
/// (judgement).
constexpr double kLongRangeLoss = 0.10;
/// From these shares on the shoulder or the scan's end is flagged: of the metered mean, which a
/// tenth moves by 0.15 stop; of the frame as beyond its 98th percentile; and for the scan's end
/// more than a few specks, since nothing at all is known of it (judgement).
constexpr double kMeanOnShoulder = 0.10;
constexpr double kFrameOnShoulder = 0.02;
constexpr double kFrameBeyondScan = 0.002;

template <class Point>
Answer<Point> answer(double nominal, std::span<const double> possible,
                     std::span<const PossibleMetering> meterings, const Swings& swings,
                     const Bound& bound) {
  Answer<Point> result;
  result.estimate = from_stops<Point>(
      interval(nominal, possible, meterings, total(swings), bound.at_least, bound.at_most));
  for (const ErrorCause cause : every<ErrorCause>()) {
    result.budget[cause] = swings[cause].per_sigma;
  }
  return result;
}

/// The swing of the correction by clipping reaches to the ends of the possible corrections.
void widen_to(Swings& swings, double correction, const PossibleCorrections& possible) {
  Swing& clipping = swings[ErrorCause::clipping];
  clipping.up = std::max(clipping.up, possible.high() - correction);
  clipping.down = std::max(clipping.down, correction - possible.low());
}

/// Share of the metered mean that lies above the usable limit.
double mean_from_highlights(const FilmExposures& exposures,
                            std::span<const PossibleMetering> meterings) {
  double above = 0;
  double all = 0;
  for (const PossibleMetering& metering : meterings) {
    for (std::size_t i = 0; i < exposures.above_speed.size(); ++i) {
      const double part = metering.probability * metering.weight[i] * exposures.exposure[i];
      all += part;
      if (exposures.above_speed[i] > exposures.highlight_limit) above += part;
    }
  }
  return all > 0 ? above / all : 0;
}

double share_where(std::span<const double> values, auto condition) {
  return static_cast<double>(std::count_if(values.begin(), values.end(), condition)) /
         static_cast<double>(values.size());
}

double share_beyond_scan(const NetDensities& densities) {
  double share = 0;
  for (const LayerDensities& layer : densities.layers) {
    const auto count = std::count(layer.beyond.begin(), layer.beyond.end(), 1);
    share = std::max(share, static_cast<double>(count) / static_cast<double>(layer.beyond.size()));
  }
  return share;
}

/// The least share of the frame that any exposure would lose, with hidden light where it most
/// likely lies, a stop beyond its bound (half of it is nearer, half farther).
double likely_least_loss(const FilmExposures& exposures) {
  constexpr double kBeyondBound = 1;  // stops
  std::vector<double> above_speed = exposures.above_speed;
  for (std::size_t i = 0; i < above_speed.size(); ++i) {
    if (exposures.least[i] != 0) above_speed[i] += kBeyondBound;
    if (exposures.most[i] != 0) above_speed[i] -= kBeyondBound;
  }
  std::sort(above_speed.begin(), above_speed.end());
  return least_loss(above_speed, exposures.highlight_limit);
}

void add_flags(FrameReading& reading, const FilmExposures& exposures, const NetDensities& densities,
               const density::FilmBase& base, const film::FilmProfile& film) {
  reading.flags.insert(densities.flags);
  reading.flags.insert(base.flags);
  if (film.contrast_is_assumed()) reading.flags.insert(Flag::contrast_unknown);
  if (!reading.shadow_reserve.estimate.low) reading.flags.insert(Flag::shadows_on_base);
  if (reading.mean_from_highlights > kMeanOnShoulder ||
      reading.lost_in_highlights > kFrameOnShoulder) {
    reading.flags.insert(Flag::highlights_on_shoulder);
  }
  if (share_beyond_scan(densities) > kFrameBeyondScan) {
    reading.flags.insert(Flag::beyond_scan_range);
  }
  if (likely_least_loss(exposures) >= kLongRangeLoss) {
    reading.flags.insert(Flag::range_longer_than_film);
  }
}

void check_input(const density::FrameMeasurement& frame, const density::FilmBase& base) {
  if (base.kind == density::ReferenceKind::none ||
      base.density.size() < static_cast<std::size_t>(frame.apertures.channels)) {
    throw std::invalid_argument("a frame cannot be read without base + fog in every channel");
  }
  if (frame.apertures.columns < 1 || frame.apertures.rows < 1 || frame.apertures.channels < 1) {
    throw std::invalid_argument("a frame without apertures cannot be read");
  }
}

}  // namespace

FrameReading read_frame(const density::FrameMeasurement& frame, const density::FilmBase& base,
                        const film::FilmProfile& film, const Aim& aim,
                        const ReadingOptions& options) {
  check_input(frame, base);
  NetDensities densities = net_densities(frame, base, film);
  if (options.response_sigma) densities.response_sigma = *options.response_sigma;
  const std::vector<PossibleMetering> meterings =
      possible_meterings(options, densities.columns, densities.rows);
  const ExposureAboveSpeedPoint aim_on_film =
      above_speed_point(aim.log_exposure(), film.speed_point());

  const FilmExposures exposures = film_exposures(densities, film);
  const FrameNumbers nominal = frame_numbers(exposures, meterings, aim_on_film);
  const PossibleCorrections corrections = possible_corrections(exposures, meterings, aim_on_film);
  EnumArray<Quantity, Swings> swings = error_swings(densities, film, meterings, aim_on_film);
  const HiddenLight hidden = hidden_light(densities, film, meterings, exposures);
  const auto bounds = known_bounds(exposures, nominal, swings, corrections, hidden,
                                   base.flags.contains(Flag::clipped_base));
  widen_to(swings[Quantity::correction], nominal[Quantity::correction], corrections);

  const auto put = [&](auto& to, Quantity q, std::span<const double> possible) {
    using Point = std::remove_cvref_t<decltype(to.estimate.value)>;
    to = answer<Point>(nominal[q], possible, meterings, swings[q], bounds[q]);
  };
  const auto put_single = [&](auto& to, Quantity q) { put(to, q, std::array{nominal[q]}); };
  FrameReading reading;
  put(reading.exposure, Quantity::exposure, nominal.exposure);
  if (!reading.exposure.estimate.high) {
    double& clipping = reading.exposure.budget[ErrorCause::clipping];
    clipping = std::max(clipping, hidden.rise);
  }
  put_single(reading.shadow_reserve, Quantity::shadow_reserve);
  hold_at_clear_film(reading.shadow_reserve.estimate);
  put_single(reading.highlight_reach, Quantity::highlight_reach);
  put_single(reading.highlight_room, Quantity::highlight_room);
  put(reading.correction, Quantity::correction, nominal.correction);
  reading.verdict = verdict_of(reading.correction.estimate.value);
  reading.verdict_uncertain = verdict_is_uncertain(reading.correction.estimate);
  reading.lost_in_shadows = share_where(exposures.above_speed, [](double x) { return x < 0; });
  reading.lost_in_highlights =
      share_where(exposures.above_speed, [&](double x) { return x > exposures.highlight_limit; });
  reading.mean_from_highlights = mean_from_highlights(exposures, meterings);
  reading.histogram = stops_histogram(exposures, aim_on_film);
  LayerReadings layers =
      read_layers(densities, film, meterings, aim_on_film, base.flags.contains(Flag::clipped_base));
  reading.layers = std::move(layers.layers);
  reading.light_colour = layers.light_colour;
  if (layers.one_starved) reading.flags.insert(Flag::layer_starved);
  add_flags(reading, exposures, densities, base, film);
  return reading;
}

}  // namespace basefog::reading

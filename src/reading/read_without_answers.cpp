// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/read_without_answers.hpp"

#include <algorithm>
#include <stdexcept>

#include "reading/correction.hpp"
#include "reading/film_exposures.hpp"
#include "reading/frame_numbers.hpp"
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

double share_where(const auto& values, auto condition) {
  return static_cast<double>(std::ranges::count_if(values, condition)) /
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
  if (share_where(exposures.most, [](auto on_base) { return on_base != 0; }) >= kShadowPercentile) {
    reading.flags.insert(Flag::shadows_on_base);
  }
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

FrameReading read_without_answers(const density::FrameMeasurement& frame,
                                  const density::FilmBase& base, const film::FilmProfile& film,
                                  const Aim& aim, const ReadingOptions& options) {
  check_input(frame, base);
  const NetDensities densities = net_densities(frame, base, film);
  const std::vector<PossibleMetering> meterings =
      possible_meterings(options, densities.columns, densities.rows);
  const FilmExposures exposures = film_exposures(densities, film);
  FrameReading reading;
  reading.lost_in_shadows = share_where(exposures.above_speed, [](double x) { return x < 0; });
  reading.lost_in_highlights =
      share_where(exposures.above_speed, [&](double x) { return x > exposures.highlight_limit; });
  reading.mean_from_highlights = mean_from_highlights(exposures, meterings);
  reading.histogram =
      stops_histogram(exposures, above_speed_point(aim.log_exposure(), film.speed_point()));
  add_flags(reading, exposures, densities, base, film);
  return reading;
}

}  // namespace basefog::reading

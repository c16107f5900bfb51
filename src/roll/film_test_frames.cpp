// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/film_test_frames.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <variant>

#include "basefog/core/error.hpp"
#include "basefog/density/roll_reference.hpp"
#include "basefog/evidence/exposure_series.hpp"
#include "basefog/film/reciprocity.hpp"
#include "numeric/quantile.hpp"
#include "reading/net_densities.hpp"
#include "roll/references.hpp"

namespace basefog::roll {
namespace {

/// What the scanner's own unevenness leaves of a mean density (judgement).
constexpr double kScannerSigma = 0.002;
/// Spread of the middle half of the apertures, as density at a usual gradient of 0.6, that an even
/// light may leave: a third of a stop (judgement).
constexpr double kMostSpread = 0.06;

struct Reading {
  double density = 0;
  double sigma = 0;
  double spread = 0;  ///< between the quartiles
  bool beyond = false;
};

/// Median over the middle half of a frame's width and height.
Reading read_middle(const reading::NetDensities& frame, const reading::LayerDensities& layer) {
  std::vector<double> values;
  int beyond = 0;
  for (int y = frame.rows / 4; y < frame.rows - frame.rows / 4; ++y) {
    for (int x = frame.columns / 4; x < frame.columns - frame.columns / 4; ++x) {
      const auto i = static_cast<std::size_t>(y) * frame.columns + x;
      values.push_back(layer.density[i]);
      beyond += layer.beyond[i] != 0 ? 1 : 0;
    }
  }
  std::sort(values.begin(), values.end());
  Reading reading;
  reading.density = numeric::sorted_quantile(values, 0.5);
  reading.spread = numeric::sorted_quantile(values, 0.75) - numeric::sorted_quantile(values, 0.25);
  // Neighbouring apertures are alike: a quarter of them count.
  const double count = std::max(1.0, static_cast<double>(values.size()) / 4);
  reading.sigma = std::hypot(kScannerSigma, numeric::kMedianOverMean * reading.spread /
                                                numeric::kQuartilesApart / std::sqrt(count));
  reading.beyond = 2 * beyond > static_cast<int>(values.size());
  return reading;
}

std::vector<density::FilmBase> rebates_of(const Analysis& analysis) {
  std::vector<density::FilmBase> rebates;
  for (const FrameResult& frame : analysis.frames) {
    rebates.push_back(rebate_of_scan(frame.measurement));
  }
  return rebates;
}

std::string name_of_frame(const FrameResult& frame) {
  return frame.measurement.label.empty() ? frame.measurement.file.filename().string()
                                         : frame.measurement.label;
}

/// The row whose frame label is a frame's own, where that holds of every frame and all of them
/// differ: frames of one card look alike, so their numbers say more than their densities.
std::vector<std::optional<std::size_t>> rows_by_number(const Analysis& analysis) {
  std::vector<std::optional<std::size_t>> rows;
  for (const FrameResult& frame : analysis.frames) {
    const std::string& label = frame.measurement.label;
    std::optional<std::size_t> row;
    for (std::size_t i = 0; !label.empty() && i < analysis.log->rows.size(); ++i) {
      if (analysis.log->rows[i].frame != label) continue;
      if (row) return {};
      row = i;
    }
    if (!row || std::find(rows.begin(), rows.end(), row) != rows.end()) return {};
    rows.push_back(row);
  }
  return rows;
}

/// The row of each frame: by number where numbers say, else as matched.
std::vector<std::optional<std::size_t>> rows_of_frames(const Analysis& analysis) {
  std::vector<std::optional<std::size_t>> rows;
  if (analysis.log) rows = rows_by_number(analysis);
  if (!rows.empty()) return rows;
  for (const FrameResult& frame : analysis.frames) rows.push_back(frame.log_row);
  return rows;
}

/// How far the exposures that shutter and aperture make lie from those that the log says were
/// metered, log10 H: the median over the rows that say both.
std::optional<double> metered_offset(const Analysis& analysis,
                                     const std::vector<std::optional<std::size_t>>& rows) {
  std::vector<double> offsets;
  for (const std::optional<std::size_t>& number : rows) {
    if (!number) continue;
    const log::LogRow& row = analysis.log->rows[*number];
    const evidence::LoggedExposure logged =
        evidence::logged_exposure(row, analysis.film.reciprocity);
    const std::optional<ExposureFromAim> expected =
        log::expected_exposure(row, analysis.film.iso_speed);
    if (!logged.settings || !expected) continue;
    // A row that says no compensation beside plain settings claims the meter's own exposure, which
    // in a test on manual holds for one frame only; said compensations are better.
    if (!row.compensation && !row.metered.shutter) continue;
    // No loss by reciprocity is taken off the exposure asked for; off that of the settings it is.
    const Stops loss =
        film::reciprocity_loss(analysis.film.reciprocity, exact(*row.used.shutter)).loss;
    offsets.push_back(analysis.aim.log_exposure().log10() +
                      (in_stops(*expected) - loss - *logged.settings).log10());
  }
  if (offsets.empty()) return std::nullopt;
  std::sort(offsets.begin(), offsets.end());
  return numeric::sorted_quantile(offsets, 0.5);
}

std::optional<double> log_h_of(const evidence::LoggedExposure& logged, const Analysis& analysis,
                               std::optional<double> offset) {
  if (logged.settings) return logged.settings->log10() + offset.value_or(0);
  if (logged.compensation) {
    return (analysis.aim.log_exposure() + *logged.compensation).log10();
  }
  return std::nullopt;
}

/// The density zero of a frame. The thinnest frames of a test cannot be separated from the clear
/// film around them, so that they take the roll's.
density::FilmBase density_zero(const FrameResult& frame, const density::RollReference& roll) {
  if (frame.reference.kind != density::ReferenceKind::none) return frame.reference;
  if (frame.measurement.rebate.kind != density::ReferenceKind::none)
    return frame.measurement.rebate;
  const bool fits = roll.base.kind == density::ReferenceKind::roll &&
                    density::reference_fits(frame.measurement, roll.base);
  return fits ? roll.base : density::FilmBase{};
}

/// One frame as a step, or why it cannot serve.
std::variant<film::FilmTestStep, Unfit> step_of(const FrameResult& frame,
                                                const density::FilmBase& zero, double log_h,
                                                const film::FilmProfile& film,
                                                film::FilmTestSeries& series) {
  const reading::NetDensities densities = reading::net_densities(frame.measurement, zero, film);
  if (densities.layers.size() != film.layers.size()) {
    return Unfit::colour_seen_as_gray;
  }
  film::FilmTestStep step{.name = name_of_frame(frame), .log_h = log_h, .density = {}, .sigma = {}};
  for (std::size_t i = 0; i < densities.layers.size(); ++i) {
    const Reading reading = read_middle(densities, densities.layers[i]);
    if (reading.beyond) {
      return Unfit::beyond_scan;
    }
    if (reading.spread > kMostSpread) {
      return Unfit::uneven;
    }
    step.density.push_back(reading.density);
    step.sigma.push_back(reading.sigma);
    series.base_sigma[i] = std::max(series.base_sigma[i], densities.layers[i].base_sigma);
  }
  return step;
}

}  // namespace

FilmTestFrames film_test_from_frames(const Analysis& analysis,
                                     const FilmTestFrameOptions& options) {
  FilmTestFrames result;
  film::FilmTestSeries& series = result.series;
  series.name = analysis.log && !analysis.log->film.empty() ? analysis.log->film : "film test";
  for (const film::FilmLayer& layer : analysis.film.layers) series.layers.push_back(layer.name);
  series.base.assign(series.layers.size(), 0.0);
  series.base_sigma.assign(series.layers.size(), 0.001);
  series.exposure_sigma_stops = options.exposure_sigma_stops;
  series.absolute = options.trusted_meter;
  const std::vector<std::optional<std::size_t>> rows = rows_of_frames(analysis);
  const std::optional<double> offset = metered_offset(analysis, rows);
  const density::RollReference roll = density::check_locked_exposure(rebates_of(analysis));
  bool zero_known = offset.has_value();
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const FrameResult& frame = analysis.frames[i];
    const auto leave_out = [&](Unfit why) {
      result.left_out.push_back({name_of_frame(frame), why});
    };
    if (frame.state == density::FrameState::positive ||
        frame.state == density::FrameState::unreadable) {
      leave_out(frame.state == density::FrameState::positive ? Unfit::positive : Unfit::unreadable);
      continue;
    }
    if (!rows[i]) {
      leave_out(Unfit::no_row);
      continue;
    }
    const density::FilmBase zero = density_zero(frame, roll);
    if (zero.kind == density::ReferenceKind::none) {
      leave_out(Unfit::no_density_zero);
      continue;
    }
    series.measured_through = reading::read_through(frame.measurement);
    const evidence::LoggedExposure logged =
        evidence::logged_exposure(analysis.log->rows[*rows[i]], analysis.film.reciprocity);
    const std::optional<double> log_h = log_h_of(logged, analysis, offset);
    if (!log_h) {
      leave_out(Unfit::no_exposure);
      continue;
    }
    zero_known = zero_known || !logged.settings;
    auto step = step_of(frame, zero, *log_h, analysis.film, series);
    if (const Unfit* why = std::get_if<Unfit>(&step)) {
      leave_out(*why);
    } else {
      series.steps.push_back(std::get<film::FilmTestStep>(std::move(step)));
    }
  }
  if (series.steps.size() < 4) {
    throw InputError(
        ErrorCode::malformed, analysis.log ? analysis.log->path : "",
        fmt::format("gives {} steps that can serve as a film test", series.steps.size()),
        "photograph an evenly lit card at 4 or more logged exposures");
  }
  if (zero_known) {
    series.metered_for = analysis.film.iso_speed;
  } else {
    series.absolute = false;
  }
  return result;
}

}  // namespace basefog::roll

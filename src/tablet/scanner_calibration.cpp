// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/tablet/scanner_calibration.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "basefog/core/error.hpp"
#include "numeric/rising_share.hpp"
#include "tablet/calibration_correction.hpp"
#include "tablet/scanner_model.hpp"

namespace basefog::tablet {
namespace {

/// A power law has two numbers, and a third patch says whether it holds; a shorter range of density
/// makes its exponent unsure (judgement).
constexpr std::size_t kFewestPatches = 3;
constexpr double kShortestRange = 0.5;
/// Distance of the curve's points: straight lines in between are right to 0.001 even next to black.
constexpr double kCurveSpacing = 0.05;
/// How far beyond the usable end the curve goes on with the formula, so that darker codes stay
/// dark; density.
constexpr double kBeyondEnd = 1.0;
/// Where the code's own uncertainty moves the density by more than this, the range ends: a sixth of
/// a stop at a usual gradient of 0.6 (judgement).
constexpr double kLargestDensityNoise = 0.03;
/// Flare depends on the picture, and tablets are certified to about half a per cent of density
/// (common practice).
constexpr double kLeastRelativeSigma = 0.01;

[[noreturn]] void refuse(const CalibrationOptions& options, std::string problem,
                         std::string next_step) {
  throw InputError(ErrorCode::malformed, options.source, std::move(problem), std::move(next_step));
}

/// The patches of one channel that can be fitted, lightest first, with their place in the input.
struct Series {
  std::vector<std::size_t> place;
  std::vector<ScannerStep> steps;
};

Series usable_steps(std::span<const TabletPatch> patches, std::size_t channel,
                    const CalibrationOptions& options) {
  Series series;
  for (std::size_t i = 0; i < patches.size(); ++i) {
    if (!patches[i].codes[channel].clipped) series.place.push_back(i);
  }
  std::ranges::sort(series.place, {}, [&](std::size_t i) { return patches[i].density; });
  // Half a step of the code is never known, whatever the scatter.
  const double grain = std::sqrt(1.0 / 12) / options.full_scale;
  for (const std::size_t i : series.place) {
    const PatchCode& code = patches[i].codes[channel];
    series.steps.push_back({patches[i].density.value(), code.mean, std::hypot(code.sigma, grain)});
  }
  if (series.steps.size() < kFewestPatches ||
      series.steps.back().density - series.steps.front().density < kShortestRange) {
    refuse(options,
           fmt::format("has {} patches that are not clipped; at least {} over {} of density are "
                       "needed",
                       series.steps.size(), kFewestPatches, kShortestRange),
           "lower the scanner's exposure until the lightest patch is below white, or use a tablet "
           "with more steps");
  }
  return series;
}

/// Share of pairs of patches, an eighth of the range or more apart, whose codes fall.
void check_that_codes_fall(const Series& series, const CalibrationOptions& options) {
  std::vector<double> densities;
  std::vector<double> darkness;
  for (const ScannerStep& step : series.steps) {
    densities.push_back(step.density);
    darkness.push_back(-step.code);
  }
  constexpr double kMostFall = 0.9;  // noise turns a few pairs of dark steps (judgement)
  if (numeric::rising_share(densities, darkness) < kMostFall) {
    refuse(options, "the codes do not fall as the densities rise",
           "list the densities lightest step first, and scan the tablet without inversion");
  }
}

/// Standard deviation of density at a density, from the code's noise and the fit's uncertainty.
double density_noise(const ScannerFit& fit, const std::vector<ScannerStep>& steps, double density) {
  // The noise of the code there is that of the nearest step.
  const auto nearest = std::ranges::min_element(
      steps, {}, [&](const ScannerStep& s) { return std::abs(s.density - density); });
  return std::hypot(nearest->sigma, fit.code_sigma(density)) / fit.model.slope(density);
}

/// The densest density that can be used, and whether noise set it.
std::pair<double, bool> usable_end(const ScannerFit& fit, const std::vector<ScannerStep>& steps) {
  const double last = steps.back().density;
  for (double density = steps.front().density; density < last; density += kCurveSpacing / 5) {
    if (density_noise(fit, steps, density) > kLargestDensityNoise) return {density, true};
  }
  return {last, density_noise(fit, steps, last) > kLargestDensityNoise};
}

std::vector<ChannelCalibration::Point> sample_curve(const ScannerModel& model,
                                                    const DensityCorrection& correction,
                                                    double densest, double full_scale) {
  std::vector<ChannelCalibration::Point> curve;
  const double lightest = model.density(1.0).value_or(0.0);
  for (double d = lightest; d < densest + kBeyondEnd; d += kCurveSpacing) {
    const double code = model.code(d);
    if (code < 0.5 / full_scale) break;
    curve.push_back({code, Density::from_value(correction.corrected(d))});
  }
  return curve;
}

void summarise_residuals(ChannelCalibration& channel, const Series& series,
                         const ScannerModel& model, const DensityCorrection& correction,
                         std::size_t patches) {
  channel.residuals.resize(patches);
  double sum = 0;
  double worst = 0;
  int count = 0;
  for (std::size_t i = 0; i < series.steps.size(); ++i) {
    const auto read = model.density(series.steps[i].code);
    if (!read) continue;
    const double residual = correction.corrected(*read) - series.steps[i].density;
    channel.residuals[series.place[i]] = DensityDifference(residual);
    if (series.steps[i].density > channel.densest.value()) continue;
    sum += residual * residual;
    worst = std::max(worst, std::abs(residual));
    ++count;
  }
  channel.rms_residual = DensityDifference(std::sqrt(sum / std::max(count, 1)));
  channel.worst_residual = DensityDifference(worst);
}

/// Farthest that a patch may lie off a power law, which has no other check: a third of a stop at a
/// usual gradient of 0.6 (judgement).
constexpr double kFarthestOff = 0.06;

void check_power_law(const ScannerModel& model, const Series& series,
                     const CalibrationOptions& options) {
  if (series.steps.size() >= kFewestForBlack) return;
  for (const ScannerStep& step : series.steps) {
    const double off = model.density(step.code).value_or(0) - step.density;
    if (std::abs(off) <= kFarthestOff) continue;
    refuse(options,
           fmt::format("has a patch of density {} that lies off a power law by {:.2f}, and so few "
                       "patches allow for nothing else",
                       step.density, std::abs(off)),
           "check densities and places of the patches, or use a tablet with five or more");
  }
}

ChannelCalibration calibrate_channel(std::span<const TabletPatch> patches, std::size_t index,
                                     const CalibrationOptions& options) {
  const Series series = usable_steps(patches, index, options);
  check_that_codes_fall(series, options);
  const ScannerFit fit = fit_scanner_model(series.steps, options.tablet_sigma);
  if (!fit.found) {
    refuse(options, "the codes do not follow density as a scanner's do",
           "check the densities of the steps and that every patch was found");
  }
  check_power_law(fit.model, series, options);
  const auto [densest, noise_limited] = usable_end(fit, series.steps);
  const double usable = densest - series.steps.front().density;
  if (usable < kShortestRange) {
    refuse(options,
           fmt::format("can be read over {:.2f} of density only, since noise or the codes' own "
                       "steps end it",
                       usable),
           "give codes out of 255 or more (--full-scale), or scan with less noise");
  }
  const DensityCorrection correction =
      fit_correction(fit.model, series.steps, options.tablet_sigma, densest);
  ChannelCalibration channel;
  channel.black = fit.model.black;
  channel.scale = fit.model.scale;
  channel.exponent = fit.model.exponent;
  channel.flare = fit.model.flare;
  channel.corrected = !correction.empty();
  channel.lightest = Density::from_value(series.steps.front().density);
  channel.densest = Density::from_value(densest);
  channel.noise_limited = noise_limited;
  channel.black_fitted = series.steps.size() >= kFewestForBlack;
  channel.curve = sample_curve(fit.model, correction, densest, options.full_scale);
  summarise_residuals(channel, series, fit.model, correction, patches.size());
  return channel;
}

/// Standard deviation of the slope of density through n points of scatter s over a range R is
/// s sqrt(12/n) / R for even spacing.
double slope_sigma(const ChannelCalibration& channel, std::span<const TabletPatch> patches,
                   double tablet_sigma) {
  const double range = (channel.densest - channel.lightest).value();
  int count = 0;  // of those that the scatter is of
  for (std::size_t i = 0; i < patches.size(); ++i) {
    count += channel.residuals[i] && patches[i].density <= channel.densest ? 1 : 0;
  }
  // Three patches may lie on a line by luck; then the tablet's own sigma speaks.
  const double scatter = channel.black_fitted
                             ? channel.rms_residual.value()
                             : std::max(channel.rms_residual.value(), tablet_sigma);
  return scatter * std::sqrt(12.0 / static_cast<double>(count)) / range;
}

}  // namespace

std::string CalibrationOptions::validate() const {
  if (!(tablet_sigma > 0) || !(tablet_sigma < 1)) {
    return "the tablet's standard deviation must be above 0 and below 1";
  }
  if (!(full_scale >= 1) || !std::isfinite(full_scale)) return "full scale must be 1 or more";
  return {};
}

ScannerCalibration calibrate_scanner(std::span<const TabletPatch> patches,
                                     const CalibrationOptions& options) {
  if (const std::string wrong = options.validate(); !wrong.empty()) {
    throw InputError(ErrorCode::usage, options.source, wrong, "correct the option");
  }
  if (patches.empty())
    refuse(options, "has no patches", "give the codes and densities of a tablet");
  const std::size_t channels = patches.front().codes.size();
  if (channels != 1 && channels != 3) {
    refuse(options, fmt::format("has {} channels", channels), "scan the tablet as gray or RGB");
  }
  for (const TabletPatch& patch : patches) {
    if (patch.codes.size() != channels || !std::isfinite(patch.density.value())) {
      refuse(options, "has patches of different kinds", "give every patch a density and all codes");
    }
  }
  ScannerCalibration calibration;
  calibration.patches.assign(patches.begin(), patches.end());
  calibration.source = options.source;
  double sigma = 0;
  for (std::size_t c = 0; c < channels; ++c) {
    calibration.channels.push_back(calibrate_channel(patches, c, options));
    sigma =
        std::max(sigma, slope_sigma(calibration.channels.back(), patches, options.tablet_sigma));
  }
  calibration.relative_sigma = std::hypot(kLeastRelativeSigma, sigma);
  return calibration;
}

}  // namespace basefog::tablet

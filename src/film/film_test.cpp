// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/film_test.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/film/sensitometry.hpp"
#include "film/curve_fit.hpp"
#include "numeric/quantile.hpp"

namespace basefog::film {
namespace {

/// Spacing of a fitted curve's knots.
constexpr Stops kKnotStep{1.0 / 8};

double sigma_of(const Estimate<double>& e) { return (*e.high - *e.low) / (2 * kNormal975); }

/// A layer's fit, and where on the series' log_h its speed point is.
struct LayerFit {
  CurveFit fit;
  double speed_point = 0;
  FilmTestLayer layer;
  double toe_sigma = 0;
};

double density_at(const CurveFit& fit, double log_h) {
  return fit.net_density(std::array{log_h})[0];
}

double slope_at(const CurveFit& fit, double log_h) {
  constexpr double kHalfStep = 1e-3;  // log H, of the slope by differences
  return (density_at(fit, log_h + kHalfStep) - density_at(fit, log_h - kHalfStep)) /
         (2 * kHalfStep);
}

/// Where the fitted curve is `density` above base, by bisection.
double find_density(const CurveFit& fit, double density) {
  double low = fit.form().toe - 12 * fit.form().toe_width;
  double high = fit.form().shoulder;
  if (!(density_at(fit, high) > density)) {
    throw InputError(ErrorCode::malformed, {},
                     "has steps that never reach the speed point's density",
                     "give steps with more exposure");
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (density_at(fit, middle) < density ? low : high) = middle;
  }
  return (low + high) / 2;
}

CurveSamples samples_of(const FilmTestSeries& series, std::size_t layer) {
  CurveSamples samples;
  for (const FilmTestStep& step : series.steps) {
    if (!std::isfinite(step.log_h) || !std::isfinite(step.density.at(layer))) continue;
    samples.log_h.push_back(step.log_h);
    samples.density.push_back(step.density[layer]);
    samples.sigma.push_back(step.sigma.at(layer));
  }
  samples.exposure_sigma = Stops(series.exposure_sigma_stops).log10();
  if (!series.base.empty()) {
    samples.base = series.base.at(layer);
    if (!series.base_sigma.empty()) samples.base_sigma = series.base_sigma.at(layer);
  }
  return samples;
}

/// Speed point and average gradient with their intervals: an error of density at the speed point
/// moves it, and with it the upper end of the triangle.
LayerFit fit_layer(const FilmTestSeries& series, std::size_t layer, double speed_density) {
  LayerFit result{CurveFit(samples_of(series, layer)), 0, {}, 0};
  const CurveFit& fit = result.fit;
  const double speed = find_density(fit, speed_density);
  const double below = speed - Stops(1).log10();
  const double upper = speed + film_facts::kIsoTriangleLogH;
  const std::array places = {below, speed, upper};
  const Eigen::MatrixXd covariance = fit.covariance(places);
  const double slope_below = slope_at(fit, below);
  const double slope_speed = slope_at(fit, speed);
  const double slope_upper = slope_at(fit, upper);
  const Eigen::Vector3d to_speed(0, -1 / slope_speed, 0);
  const Eigen::Vector3d to_gradient =
      Eigen::Vector3d(0, -slope_upper / slope_speed, 1) / film_facts::kIsoTriangleLogH;
  const Eigen::Vector3d to_toe(-1 / slope_below, 1 / slope_speed, 0);
  const auto sigma = [&](const Eigen::Vector3d& lever) {
    return std::sqrt(std::max(0.0, lever.dot(covariance * lever)));
  };
  result.speed_point = speed;
  result.toe_sigma = Stops::from_log10(sigma(to_toe)).value();
  result.layer.name = series.layers.at(layer);
  result.layer.base = fit.base();
  result.layer.base_sigma = fit.base_sigma();
  result.layer.residual = fit.residual();
  result.layer.speed_point_log_h = normal_estimate(speed, sigma(to_speed));
  result.layer.average_gradient = normal_estimate(
      (density_at(fit, upper) - speed_density) / film_facts::kIsoTriangleLogH, sigma(to_gradient));
  const double gradient = result.layer.average_gradient.value;
  if (!(gradient > 0) || !(sigma_of(result.layer.average_gradient) < gradient / 2)) {
    throw InputError(
        ErrorCode::malformed, {},
        "has steps that show no contrast to go by: they lie far off any film's curve, or "
        "too few of them rise",
        "check the densities for misprints, or add steps between the toe and the shoulder");
  }
  return result;
}

/// The fitted curve with exposures counted from `zero`.
CharacteristicCurve curve_of(const CurveFit& fit, double zero) {
  const ToeAndShoulder& form = fit.form();
  // A logistic has a thousandth of its slope left seven widths below, less than a percent five
  // above.
  constexpr double kToeWidths = 7;
  constexpr double kShoulderWidths = 5;
  std::vector<double> log_h;
  const double begin = form.toe - kToeWidths * form.toe_width;
  const double end = form.shoulder + kShoulderWidths * form.shoulder_width;
  const int knots = static_cast<int>(std::ceil((end - begin) / kKnotStep.log10()));
  for (int k = 0; k < knots; ++k) log_h.push_back(begin + k * kKnotStep.log10());
  const Eigen::VectorXd density = fit.net_density(log_h);
  std::vector<CurvePoint> points;
  double most = 0;
  for (std::size_t i = 0; i < log_h.size(); ++i) {
    most = std::max(most, density[static_cast<Eigen::Index>(i)]);
    points.push_back({Stops::from_log10(log_h[i] - zero), NetDensity(most)});
  }
  return CharacteristicCurve::from_points(points);
}

/// Usual distance between neighbouring steps, stops.
double usual_spacing(const FilmTestSeries& series) {
  std::vector<double> log_h;
  for (const FilmTestStep& step : series.steps) log_h.push_back(step.log_h);
  std::sort(log_h.begin(), log_h.end());
  std::vector<double> gaps;
  for (std::size_t i = 1; i < log_h.size(); ++i) {
    const double gap = Stops::from_log10(log_h[i] - log_h[i - 1]).value();
    if (gap > 0.05) gaps.push_back(gap);
  }
  if (gaps.empty()) return 1;
  std::sort(gaps.begin(), gaps.end());
  return numeric::sorted_quantile(gaps, 0.5);
}

int steps_for(double stops, double spacing) {
  return stops <= 0.05 ? 0 : static_cast<int>(std::ceil(stops / spacing - 0.05));
}

/// The film's own speed point and its standard deviation on the series' log_h.
Estimate<double> film_speed_point(const std::vector<LayerFit>& fits, FilmKind kind) {
  if (kind != FilmKind::colour_negative) return fits.front().layer.speed_point_log_h;
  const auto at = [&](std::size_t i) { return LogExposure::from_log10(fits[i].speed_point); };
  const LogExposure point = iso5800_speed_point(at(0), at(1), at(2));
  const auto slowest = std::max_element(
      fits.begin(), fits.end(),
      [](const LayerFit& a, const LayerFit& b) { return a.speed_point < b.speed_point; });
  const double green = sigma_of(fits[1].layer.speed_point_log_h);
  const double slow = sigma_of(slowest->layer.speed_point_log_h);
  const bool alike = slowest == fits.begin() + 1;
  return normal_estimate(point.log10(), alike ? green : std::hypot(green, slow) / 2);
}

void read_limits(FilmTest& test, const FilmTestSeries& series, const std::vector<LayerFit>& fits,
                 double zero) {
  const auto [least, most] = std::minmax_element(
      series.steps.begin(), series.steps.end(),
      [](const FilmTestStep& a, const FilmTestStep& b) { return a.log_h < b.log_h; });
  const double spacing = usual_spacing(series);
  for (std::size_t i = 0; i < fits.size(); ++i) {
    const CharacteristicCurve& curve = test.profile.layers[i].curve;
    const double toe =
        Stops::from_log10(least->log_h - fits[i].speed_point).value() + 1;  // one stop below it
    const Stops reached = Stops::from_log10(most->log_h - zero);
    const double shoulder = (curve.highlight_limit() - reached).value();
    test.steps_missing_at_toe = std::max(test.steps_missing_at_toe, steps_for(toe, spacing));
    test.steps_missing_at_shoulder =
        std::max(test.steps_missing_at_shoulder, steps_for(shoulder, spacing));
    if (shoulder <= 0.05) test.layers[i].highlight_limit = curve.highlight_limit();
    // Within the points alone.
    test.layers[i].gamma = gamma(curve);
    test.layers[i].contrast_index = contrast_index(curve);
    if (toe <= 0) test.layers[i].delta_x = delta_x(curve);
  }
}

}  // namespace

FilmTest calibrate_film(const FilmTestSeries& series, FilmKind kind) {
  const bool colour = kind == FilmKind::colour_negative;
  if (series.layers.size() != (colour ? 3u : 1u)) {
    throw InputError(ErrorCode::malformed, {},
                     "has " + std::to_string(series.layers.size()) + " columns of densities",
                     colour ? "give red, green and blue for a colour film"
                            : "give one for a "
                              "black-and-white film");
  }
  const NetDensity speed_density =
      colour ? film_facts::kIso5800SpeedDensity : film_facts::kIso6SpeedDensity;
  std::vector<LayerFit> fits;
  for (std::size_t i = 0; i < series.layers.size(); ++i) {
    fits.push_back(fit_layer(series, i, speed_density.value()));
  }
  const Estimate<double> zero = film_speed_point(fits, kind);

  FilmTest test;
  FilmProfile& film = test.profile;
  film.name = series.name;
  film.kind = kind;
  film.contrast_source = ContrastSource::film_test;
  film.measured_through = series.measured_through;
  film.reciprocity = generic_film(kind, FilmSpeed(100)).reciprocity;
  film.speed_measured = series.absolute;
  film.speed_sigma_stops = Stops::from_log10(sigma_of(zero)).value();
  film.contrast_relative_sigma = 0;
  film.shoulder_sigma_stops = 0;
  film.toe_sigma_stops = 0;
  film.upper_gradient_sigma = 0;
  for (const LayerFit& fit : fits) {
    film.layers.push_back({fit.layer.name, curve_of(fit.fit, zero.value)});
    const Estimate<double>& gradient = fit.layer.average_gradient;
    film.contrast_relative_sigma =
        std::max(film.contrast_relative_sigma, sigma_of(gradient) / gradient.value);
    film.shoulder_sigma_stops =
        std::max(film.shoulder_sigma_stops, Stops::from_log10(fit.fit.shoulder_sigma()).value());
    film.toe_sigma_stops = std::max(film.toe_sigma_stops, std::min(0.5, fit.toe_sigma));
    test.layers.push_back(fit.layer);
  }
  film.iso_speed = series.metered_for.value_or(FilmSpeed(100));
  if (series.absolute) {
    const double at_one =
        colour ? film_facts::kIso5800SpeedExposure : film_facts::kIso6SpeedExposure;
    film.iso_speed = FilmSpeed(at_one / std::pow(10.0, zero.value));
    test.speed = normal_estimate(std::log2(film.iso_speed.iso()), film.speed_sigma_stops);
  } else if (series.metered_for) {
    const Stops more = film.speed_point() - LogExposure::from_log10(zero.value);
    test.speed_and_meter = normal_estimate(more, Stops(film.speed_sigma_stops));
  }
  read_limits(test, series, fits, zero.value);
  return test;
}

std::optional<StopsEstimate> exposure_shift(const FilmTest& test, const FilmTestSeries& other) {
  const CharacteristicCurve& curve = test.profile.layers.front().curve;
  const double zero = test.layers.front().speed_point_log_h.value;
  const FilmTestLayer layer = fit_layer(other, 0, film_facts::kIso6SpeedDensity.value()).layer;
  double sum = 0;
  double sum_of_squares = 0;
  int steps = 0;
  for (const FilmTestStep& step : other.steps) {
    const NetDensity density(step.density.front() - layer.base);
    const Stops read = curve.exposure(density);
    // Toe and shoulder turn a hundredth of density into a tenth of a stop and more.
    if (curve.gradient(read) < curve.mid_scale_gradient() / 2) continue;
    const double shift = (read - Stops::from_log10(step.log_h - zero)).value();
    sum += shift;
    sum_of_squares += shift * shift;
    ++steps;
  }
  if (steps < 3) return std::nullopt;
  const double mean = sum / steps;
  const double scatter = std::sqrt(std::max(0.0, sum_of_squares / steps - mean * mean) *
                                   (static_cast<double>(steps) / (steps - 1)));
  // Where the curve is off, neighbouring steps are off alike: about three count as one.
  constexpr double kStepsAlike = 3;
  const double base = std::hypot(test.layers.front().base_sigma, layer.base_sigma);
  const double by_base = Stops::from_log10(base / curve.mid_scale_gradient()).value();
  return normal_estimate(Stops(mean),
                         Stops(std::hypot(scatter / std::sqrt(steps / kStepsAlike), by_base)));
}

}  // namespace basefog::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/characteristic_curve.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "film/toe_and_shoulder.hpp"
#include "numeric/monotone_cubic.hpp"

namespace basefog::film {
namespace {

/// Least rise between points, density a stop, so that a flat stretch still has an inverse.
constexpr double kLeastRise = 1e-5;
/// Spacing of the knots of a curve from a shape.
constexpr Stops kShapeStep{1.0 / 16};
static_assert(kShapeStep.log10() < ToeAndShoulder::kSpan * 1.5);
/// Step of searches along the curve, stops.
constexpr double kSearchStep = 1.0 / 32;
/// No film's points lie so far from any zero in use (lux seconds, its speed point).
constexpr Stops kFarthestPoint{100};

[[noreturn]] void refuse(const std::string& problem, const std::string& next_step) {
  throw InputError(ErrorCode::malformed, {}, problem, next_step);
}

/// Knots below the first point: the exponential that leaves it with its own slope, down to 1/1000
/// of its density.
void prepend_run_out(std::vector<CurvePoint>& points, std::vector<double>& slopes) {
  const CurvePoint first = points.front();
  const double slope = slopes.front();
  if (first.density.value() <= 0 || slope <= 0) return;
  const Stops scale(first.density.value() / slope);
  std::vector<CurvePoint> toe;
  std::vector<double> toe_slopes;
  constexpr int kKnots = 28;  // a quarter e-fold apart, down to e^-7, a thousandth
  for (int i = kKnots; i >= 1; --i) {
    const double fall = std::exp(-i * 0.25);
    toe.push_back({first.exposure - scale * (i * 0.25), first.density.scaled(fall)});
    toe_slopes.push_back(slope * fall);
  }
  points.insert(points.begin(), toe.begin(), toe.end());
  slopes.insert(slopes.begin(), toe_slopes.begin(), toe_slopes.end());
}

/// The place of the toe, such that density rises from the speed density by the wanted amount.
/// The ratio of the two densities falls as the toe moves to less exposure.
ToeAndShoulder solve_toe(const CurveShape& shape) {
  const double threshold = shape.threshold.log10();
  const double wanted = 1 + shape.rise_over_1_30 / shape.speed_density;
  ToeAndShoulder unit{0, shape.toe_width, shape.shoulder.log10(), shape.shoulder_width};
  const auto ratio = [&](double toe) {
    unit.toe = toe;
    return unit.density(threshold + film_facts::kIsoTriangleLogH) / unit.density(threshold);
  };
  double low = threshold - 3;
  double high = threshold + 1.2;
  if (!(ratio(low) < wanted && ratio(high) > wanted)) {
    refuse("describes a film whose density cannot rise as stated with that toe and shoulder",
           "check speed density, rise, toe width and shoulder");
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (ratio(middle) < wanted ? low : high) = middle;
  }
  unit.toe = (low + high) / 2;
  return unit;
}

numeric::CubicPiece piece_between(const CurvePoint& a, const CurvePoint& b, double slope_a,
                                  double slope_b) {
  return {(b.exposure - a.exposure).value(), a.density.value(), b.density.value(), slope_a,
          slope_b};
}

void check_points(std::span<const CurvePoint> points) {
  const std::string next = "give at least 4 points, exposure rising and density not falling";
  if (points.size() < 4) refuse("has fewer than 4 points", next);
  int rises = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!std::isfinite(points[i].exposure.value()) || !std::isfinite(points[i].density.value())) {
      refuse("has a point that is not a number", next);
    }
    if (points[i].exposure < -kFarthestPoint || points[i].exposure > kFarthestPoint) {
      refuse("has a point over 100 stops from zero", "give exposures in stops, or as log10 H");
    }
    if (i == 0) continue;
    if (points[i].exposure <= points[i - 1].exposure) {
      refuse("has points whose exposure does not rise", next);
    }
    if (points[i].density < points[i - 1].density) {
      refuse("has a density that falls with more exposure", next);
    }
    rises += points[i].density > points[i - 1].density ? 1 : 0;
  }
  if (rises < 2) refuse("is flat", next);
}

}  // namespace

CharacteristicCurve CharacteristicCurve::from_points(std::span<const CurvePoint> points) {
  check_points(points);
  // A flat start or end holds no information; what remains starts and ends with a rise.
  std::size_t first = 0;
  std::size_t last = points.size() - 1;
  while (points[first + 1].density <= points[first].density) ++first;
  while (points[last - 1].density >= points[last].density) --last;
  std::vector<CurvePoint> knots(points.begin() + first, points.begin() + last + 1);
  std::vector<double> x;
  std::vector<double> y;
  for (CurvePoint& knot : knots) {
    if (!x.empty()) {
      const double least = y.back() + kLeastRise * (knot.exposure.value() - x.back());
      knot.density = NetDensity(std::max(knot.density.value(), least));
    }
    x.push_back(knot.exposure.value());
    y.push_back(knot.density.value());
  }
  std::vector<double> slopes = numeric::monotone_slopes(x, y);
  const Stops given_first = knots.front().exposure;
  const Stops given_last = knots.back().exposure;
  prepend_run_out(knots, slopes);
  return {std::move(knots), std::move(slopes), given_first, given_last};
}

CharacteristicCurve CharacteristicCurve::from_shape(const CurveShape& shape) {
  for (double positive : {shape.speed_density, shape.rise_over_1_30, shape.toe_width,
                          shape.shoulder_width, shape.shoulder.value()}) {
    if (!(positive > 0) || !std::isfinite(positive)) {
      refuse("has a curve parameter that is not above zero", "check the curve's parameters");
    }
  }
  const ToeAndShoulder unit = solve_toe(shape);
  const double gradient = shape.speed_density / unit.density(shape.threshold.log10());
  // From a thousandth of the speed density to where the shoulder has all but ended.
  constexpr double kSmallestShare = 1e-3;
  constexpr double kShoulderWidths = 6;
  Stops start = shape.threshold;
  while (gradient * unit.density(start.log10()) > kSmallestShare * shape.speed_density) {
    start -= kShapeStep;
  }
  const Stops end = shape.shoulder + Stops::from_log10(kShoulderWidths * shape.shoulder_width);
  std::vector<CurvePoint> knots = {{start, NetDensity(gradient * unit.density(start.log10()))}};
  std::vector<double> slopes = {gradient * unit.gradient(start.log10()) * kLog10PerStop};
  while (knots.back().exposure < end) {
    const Stops x = knots.back().exposure + kShapeStep;
    const double rise = gradient * unit.rise(knots.back().exposure.log10(), x.log10());
    knots.push_back({x, knots.back().density + DensityDifference(rise)});
    slopes.push_back(gradient * unit.gradient(x.log10()) * kLog10PerStop);
  }
  return {std::move(knots), std::move(slopes), start, end};
}

CharacteristicCurve::CharacteristicCurve(std::vector<CurvePoint> points, std::vector<double> slopes,
                                         Stops first, Stops last)
    : points_(std::move(points)), slopes_(std::move(slopes)), first_(first), last_(last) {
  find_limits();
}

std::size_t CharacteristicCurve::piece_at(Stops exposure) const {
  const auto after =
      std::upper_bound(points_.begin(), points_.end(), exposure,
                       [](Stops x, const CurvePoint& point) { return x < point.exposure; });
  const auto index = after - points_.begin();
  return static_cast<std::size_t>(
      std::clamp<std::ptrdiff_t>(index - 1, 0, static_cast<std::ptrdiff_t>(points_.size()) - 2));
}

NetDensity CharacteristicCurve::density(Stops exposure) const {
  if (exposure < points_.front().exposure) return NetDensity(0);
  if (exposure >= points_.back().exposure) return points_.back().density;
  const std::size_t i = piece_at(exposure);
  return NetDensity(piece_between(points_[i], points_[i + 1], slopes_[i], slopes_[i + 1])
                        .value((exposure - points_[i].exposure).value()));
}

double CharacteristicCurve::gradient(Stops exposure) const {
  if (exposure < points_.front().exposure || exposure > points_.back().exposure) return 0;
  const std::size_t i = piece_at(exposure);
  return piece_between(points_[i], points_[i + 1], slopes_[i], slopes_[i + 1])
             .slope((exposure - points_[i].exposure).value()) /
         kLog10PerStop;
}

Stops CharacteristicCurve::inverse(NetDensity density) const {
  const auto above =
      std::upper_bound(points_.begin(), points_.end(), density,
                       [](NetDensity d, const CurvePoint& point) { return d < point.density; });
  if (above == points_.begin()) return points_.front().exposure;
  if (above == points_.end()) return points_.back().exposure;
  const auto i = static_cast<std::size_t>(above - points_.begin()) - 1;
  const numeric::CubicPiece piece =
      piece_between(points_[i], points_[i + 1], slopes_[i], slopes_[i + 1]);
  return points_[i].exposure + Stops(piece.inverse(density.value()));
}

Stops CharacteristicCurve::exposure(NetDensity density) const {
  return std::clamp(inverse(density), lowest_, highest_);
}

std::optional<Stops> CharacteristicCurve::where(NetDensity wanted) const {
  if (wanted < density(first_) || wanted > density(last_)) return std::nullopt;
  return inverse(wanted);
}

CharacteristicCurve CharacteristicCurve::counted_from(Stops zero) const {
  std::vector<CurvePoint> points = points_;
  for (CurvePoint& point : points) point.exposure -= zero;
  return {std::move(points), slopes_, first_ - zero, last_ - zero};
}

double CharacteristicCurve::average_gradient() const {
  return (density(Stops::from_log10(film_facts::kIsoTriangleLogH)) - density(Stops(0))).value() /
         film_facts::kIsoTriangleLogH;
}

Stops CharacteristicCurve::where_gradient_falls_to(double wanted, Stops from, Stops to) const {
  const Stops step(to < from ? -kSearchStep : kSearchStep);
  Stops x = from;
  while ((to - x).value() * step.value() > 0) {
    Stops next = x + step;
    if ((to - next).value() * step.value() < 0) next = to;
    if (gradient(next) < wanted) {
      for (int i = 0; i < 50; ++i) {
        const Stops middle = (x + next) / 2;
        (gradient(middle) < wanted ? next : x) = middle;
      }
      return x;
    }
    x = next;
  }
  return to;
}

void CharacteristicCurve::find_limits() {
  const auto within = [this](double log_h) {
    return std::clamp(Stops::from_log10(log_h), first_, last_);
  };
  const Stops from = within(film_facts::kMidScaleFrom);
  const Stops to = within(film_facts::kMidScaleTo);
  mid_scale_gradient_ = to > from ? (density(to) - density(from)).value() / (to - from).log10()
                                  : gradient((first_ + last_) / 2);
  const Stops middle = (from + to) / 2;
  const Stops speed = within(0);
  const Stops end = within(film_facts::kIsoTriangleLogH);
  const double average = end > speed
                             ? (density(end) - density(speed)).value() / (end - speed).log10()
                             : mid_scale_gradient_;
  lowest_ = where_gradient_falls_to(film_facts::kReadableGradientShare * average, middle, first_);
  highest_ = where_gradient_falls_to(film_facts::kReadableGradientShare * mid_scale_gradient_,
                                     middle, last_);
  highlight_limit_ = where_gradient_falls_to(
      film_facts::kHighlightGradientShare * mid_scale_gradient_, middle, last_);
  shoulder_seen_ = highlight_limit_ < last_;
}

}  // namespace basefog::film

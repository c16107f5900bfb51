// SPDX-License-Identifier: GPL-3.0-or-later
// The same film made harder or softer, with a longer straight line or a longer toe.
#include <algorithm>
#include <stdexcept>

#include "basefog/core/film_facts.hpp"
#include "basefog/film/characteristic_curve.hpp"
#include "numeric/monotone_cubic.hpp"

namespace basefog::film {
namespace {

/// The toe fades into the unchanged curve over the ISO triangle's 1.30 log H.
const double kToeEnd = Stops::from_log10(film_facts::kIsoTriangleLogH).value();

/// A straight line may not be made shorter than this, stops, nor than this share of itself.
constexpr Stops kLeastStraightLine{0.5};
constexpr double kLeastStretch = 0.05;

}  // namespace

CharacteristicCurve CharacteristicCurve::with_contrast(double factor) const {
  if (!(factor > 0)) throw std::invalid_argument("contrast factor must be above zero");
  const NetDensity at_speed = density(Stops(0));
  const Stops triangle = Stops::from_log10(film_facts::kIsoTriangleLogH);
  const double wanted = average_gradient() * factor * film_facts::kIsoTriangleLogH;
  // How far the exposure axis moves so that densities times `scale` keep the speed point.
  const auto move = [&](double scale) {
    return at_speed.value() > 0 ? inverse(at_speed.scaled(1 / scale)) : Stops(0);
  };
  double low = factor / 3;
  double high = factor * 3;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    const DensityDifference rise = density(triangle + move(middle)).scaled(middle) - at_speed;
    (rise.value() < wanted ? low : high) = middle;
  }
  const double scale = (low + high) / 2;
  const Stops by = move(scale);
  std::vector<CurvePoint> points = points_;
  std::vector<double> slopes = slopes_;
  for (CurvePoint& point : points) point = {point.exposure - by, point.density.scaled(scale)};
  for (double& slope : slopes) slope *= scale;
  return {std::move(points), std::move(slopes), first_ - by, last_ - by};
}

CharacteristicCurve CharacteristicCurve::with_shoulder(Stops shift) const {
  // Between a and b both axes are stretched by the same factor, which keeps every gradient; beyond
  // b the curve is moved as it stands. Cutting a cubic piece in two does not change it.
  const Stops b = highlight_limit_;
  const Stops a = std::min(Stops::from_log10(film_facts::kIsoTriangleLogH), b - kLeastStraightLine);
  const double stretch =
      std::max(kLeastStretch, ((b - a).value() + shift.value()) / (b - a).value());
  std::vector<CurvePoint> points;
  std::vector<double> slopes;
  const auto keep = [&](CurvePoint point, double slope) {
    if (point.exposure > a) {
      const Stops inside = std::min(point.exposure, b) - a;
      point = {point.exposure + inside * (stretch - 1),
               point.density + (density(a + inside) - density(a)) * (stretch - 1)};
    }
    points.push_back(point);
    slopes.push_back(slope);
  };
  for (std::size_t i = 0; i < points_.size(); ++i) {
    keep(points_[i], slopes_[i]);
    if (i + 1 == points_.size()) break;
    for (const Stops cut : {a, b}) {
      if (points_[i].exposure < cut && cut < points_[i + 1].exposure) {
        keep({cut, density(cut)}, gradient(cut) * kLog10PerStop);
      }
    }
  }
  const auto moved = [&](Stops x) { return x > a ? x + (std::min(x, b) - a) * (stretch - 1) : x; };
  return {std::move(points), std::move(slopes), moved(first_), moved(last_)};
}

CharacteristicCurve CharacteristicCurve::with_toe(double lengthening) const {
  if (!(lengthening > film_facts::kShortestToe && lengthening < film_facts::kLongestToe)) {
    throw std::invalid_argument("a toe can be made longer by -0.6 to 2 stops a stop");
  }
  const numeric::CubicPiece blend{kToeEnd, 0, kToeEnd, 1 / (1 + lengthening), 1};
  const auto moved = [&](Stops x) {
    if (x.value() <= 0) return x * (1 + lengthening);
    return x.value() < kToeEnd ? Stops(blend.inverse(x.value())) : x;
  };
  const auto stretch_at = [&](Stops new_x) {
    if (new_x.value() <= 0) return 1 / (1 + lengthening);
    return new_x.value() < kToeEnd ? blend.slope(new_x.value()) : 1.0;
  };
  std::vector<CurvePoint> points = points_;
  std::vector<double> slopes = slopes_;
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t i = 0; i < points.size(); ++i) {
    points[i].exposure = moved(points[i].exposure);
    slopes[i] *= stretch_at(points[i].exposure);
    x.push_back(points[i].exposure.value());
    y.push_back(points[i].density.value());
  }
  numeric::limit_slopes(x, y, slopes);
  return {std::move(points), std::move(slopes), moved(first_), moved(last_)};
}

CharacteristicCurve CharacteristicCurve::with_upper_part(double stretch) const {
  if (!(stretch > 0)) throw std::invalid_argument("stretch of the upper part must be above zero");
  const Stops triangle = Stops::from_log10(film_facts::kIsoTriangleLogH);
  const auto moved = [&](Stops x) {
    return x > triangle ? triangle + (x - triangle) * stretch : x;
  };
  std::vector<CurvePoint> points;
  std::vector<double> slopes;
  std::vector<double> x;
  std::vector<double> y;
  const auto keep = [&](CurvePoint point, double slope) {
    points.push_back(point);
    slopes.push_back(slope);
    x.push_back(point.exposure.value());
    y.push_back(point.density.value());
  };
  for (std::size_t i = 0; i < points_.size(); ++i) {
    const Stops at = points_[i].exposure;
    // Where the two parts meet, the gradient lies between both of theirs.
    const double slower = at > triangle ? 1 / stretch : at < triangle ? 1 : (1 + 1 / stretch) / 2;
    keep({moved(at), points_[i].density}, slopes_[i] * slower);
    if (i + 1 < points_.size() && at < triangle && triangle < points_[i + 1].exposure) {
      keep({triangle, density(triangle)},
           gradient(triangle) * kLog10PerStop * (1 + 1 / stretch) / 2);
    }
  }
  numeric::limit_slopes(x, y, slopes);
  return {std::move(points), std::move(slopes), moved(first_), moved(last_)};
}

}  // namespace basefog::film

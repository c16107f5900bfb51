// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/light_fall_off.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace basefog::area {
namespace {

constexpr int kTerms = 7;  // two levels and five coefficients
using Matrix = Eigen::Matrix<double, kTerms, kTerms>;
using Vector = Eigen::Matrix<double, kTerms, 1>;

/// Prior that the light is even, as a share of the samples: keeps the surface flat where no sample
/// lies.
constexpr double kEvenWeight = 1e-4;
/// Fewer samples than this show no surface (judgement).
constexpr std::size_t kLeastSamples = 50;
/// Neighbouring places share grain, dust and flare: one in a hundred counts (judgement).
constexpr double kIndependent = 0.01;
/// A surface is used where its variance at the frames' corners, in variances of one sample, is less
/// than this; beyond, a simpler one, or none, errs less (judgement).
constexpr double kMostLeverage = 0.5;

double scaled(double at, double size) { return 2 * at / size - 1; }

std::array<double, 5> terms_at(double x, double y) { return {x, y, x * x, x * y, y * y}; }

int terms_of(FallOffShape shape) { return shape == FallOffShape::plane ? 2 : 5; }

Vector row_at(double x, double y, int tone, FallOffShape shape) {
  const auto terms = terms_at(x, y);
  Vector row = Vector::Zero();
  row(tone) = 1;
  for (int i = 0; i < terms_of(shape); ++i) row(2 + i) = terms[i];
  return row;
}

struct Fit {
  LightFallOff surface;
  Matrix covariance = Matrix::Zero();  ///< of levels and c, for samples of standard deviation 1
};

Fit fit(std::span<const ToneSample> samples, double width, double height, FallOffShape shape) {
  Matrix normal = Matrix::Zero();
  Vector right = Vector::Zero();
  for (const ToneSample& s : samples) {
    const Vector row = row_at(scaled(s.x, width), scaled(s.y, height), s.tone, shape);
    normal.noalias() += row * row.transpose();
    right += row * static_cast<double>(s.density);
  }
  normal.diagonal().tail<5>().array() += kEvenWeight * static_cast<double>(samples.size());
  normal.diagonal().array() += 1e-9;
  Fit out;
  out.covariance = normal.inverse();
  const Vector solution = normal.ldlt().solve(right);
  out.surface = {width, height, {}};
  for (int i = 0; i < 5; ++i) out.surface.coefficient[i] = solution(2 + i);
  return out;
}

/// Largest variance of the fitted density of a tone over the corners of the regions, in units of
/// the samples' variance.
double leverage(const Fit& f, std::span<const FrameRegion> regions, int tone, FallOffShape shape) {
  double most = 0;
  for (const FrameRegion& r : regions) {
    const double a = r.angle_degrees * std::numbers::pi / 180;
    for (const double su : {-0.5, 0.5}) {
      for (const double sv : {-0.5, 0.5}) {
        const double u = su * r.width;
        const double v = sv * r.height;
        const double x = r.centre_x + u * std::cos(a) + v * std::sin(a);
        const double y = r.centre_y - u * std::sin(a) + v * std::cos(a);
        const Vector row =
            row_at(scaled(x, f.surface.width), scaled(y, f.surface.height), tone, shape);
        most = std::max(most, row.dot(f.covariance * row));
      }
    }
  }
  return most / kIndependent;
}

}  // namespace

double LightFallOff::at(double x, double y) const {
  const auto terms = terms_at(scaled(x, width), scaled(y, height));
  double sum = 0;
  for (std::size_t i = 0; i < terms.size(); ++i) sum += coefficient[i] * terms[i];
  return sum;
}

LightFallOff fit_fall_off(std::span<const ToneSample> samples, double width, double height,
                          FallOffShape shape) {
  if (samples.size() < kLeastSamples) return {width, height, {}};
  return fit(samples, width, height, shape).surface;
}

LightFallOff fit_supported_fall_off(std::span<const ToneSample> samples, double width,
                                    double height, std::span<const FrameRegion> regions) {
  if (samples.size() >= kLeastSamples) {
    const int tone = samples.back().tone;
    for (const FallOffShape shape : {FallOffShape::quadratic, FallOffShape::plane}) {
      const Fit f = fit(samples, width, height, shape);
      if (leverage(f, regions, tone, shape) < kMostLeverage) return f.surface;
    }
  }
  return {width, height, {}};
}

}  // namespace basefog::area

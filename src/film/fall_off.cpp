// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/fall_off.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace basefog {
namespace {

constexpr int kTerms = 7;  // two levels and five coefficients
/// A prior that the light is even, worth this many blocks: keeps what is not seen flat.
constexpr double kEvenWeight = 30;

double scaled(double at, int size) { return 2 * at / size - 1; }

std::array<double, 5> terms_at(double x, double y) { return {x, y, x * x, x * y, y * y}; }

}  // namespace

double FallOff::at(double x, double y) const {
  const auto terms = terms_at(scaled(x, width), scaled(y, height));
  double sum = 0;
  for (std::size_t i = 0; i < terms.size(); ++i) sum += coefficient[i] * terms[i];
  return sum;
}

FallOff fit_fall_off(std::span<const ToneSample> samples, int width, int height, bool quadratic) {
  FallOff surface{width, height, {}};
  if (samples.size() < 50) return surface;
  using Matrix = Eigen::Matrix<double, kTerms, kTerms>;
  using Vector = Eigen::Matrix<double, kTerms, 1>;
  Matrix normal = Matrix::Zero();
  Vector right = Vector::Zero();
  for (const ToneSample& s : samples) {
    const auto terms = terms_at(scaled(s.x, width), scaled(s.y, height));
    Vector row = Vector::Zero();
    row(s.tone) = 1;
    for (int i = 0; i < (quadratic ? 5 : 2); ++i) row(2 + i) = terms[i];
    normal += row * row.transpose();
    right += row * static_cast<double>(s.density);
  }
  normal.diagonal().tail<5>().array() += kEvenWeight;
  normal.diagonal().array() += 1e-9;
  const Vector solution = normal.ldlt().solve(right);
  for (int i = 0; i < 5; ++i) surface.coefficient[i] = solution(2 + i);
  return surface;
}

}  // namespace basefog

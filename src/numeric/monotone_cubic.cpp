// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/monotone_cubic.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace basefog::numeric {
namespace {

/// Slope at the first of three points, kept to the first secant's sign and three times its size.
double end_slope(double h0, double h1, double d0, double d1) {
  const double slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (slope * d0 <= 0) return 0;
  if (d0 * d1 <= 0 && std::abs(slope) > 3 * std::abs(d0)) return 3 * d0;
  return slope;
}

}  // namespace

std::vector<double> monotone_slopes(std::span<const double> x, std::span<const double> y) {
  const std::size_t n = x.size();
  std::vector<double> h(n - 1);
  std::vector<double> secant(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    h[i] = x[i + 1] - x[i];
    secant[i] = (y[i + 1] - y[i]) / h[i];
  }
  std::vector<double> slopes(n);
  if (n == 2) {
    slopes.assign(2, secant[0]);
    return slopes;
  }
  slopes[0] = end_slope(h[0], h[1], secant[0], secant[1]);
  slopes[n - 1] = end_slope(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (secant[i - 1] * secant[i] <= 0) continue;
    const double w1 = 2 * h[i] + h[i - 1];
    const double w2 = h[i] + 2 * h[i - 1];
    slopes[i] = (w1 + w2) / (w1 / secant[i - 1] + w2 / secant[i]);
  }
  return slopes;
}

void limit_slopes(std::span<const double> x, std::span<const double> y, std::span<double> slopes) {
  const std::size_t n = x.size();
  for (std::size_t i = 0; i < n; ++i) {
    double most = INFINITY;
    if (i > 0) most = std::min(most, 3 * (y[i] - y[i - 1]) / (x[i] - x[i - 1]));
    if (i + 1 < n) most = std::min(most, 3 * (y[i + 1] - y[i]) / (x[i + 1] - x[i]));
    slopes[i] = std::clamp(slopes[i], 0.0, std::max(0.0, most));
  }
}

double CubicPiece::value(double t) const {
  const double s = t / width;
  const double rise = y1 - y0;
  const double a = m0 * width;
  const double b = m1 * width;
  return y0 + s * (a + s * ((3 * rise - 2 * a - b) + s * (a + b - 2 * rise)));
}

double CubicPiece::slope(double t) const {
  const double s = t / width;
  const double rise = y1 - y0;
  const double a = m0 * width;
  const double b = m1 * width;
  return (a + s * (2 * (3 * rise - 2 * a - b) + s * 3 * (a + b - 2 * rise))) / width;
}

double CubicPiece::inverse(double y) const {
  if (y <= y0) return 0;
  if (y >= y1) return width;
  double low = 0;
  double high = width;
  double t = width * (y - y0) / (y1 - y0);
  for (int i = 0; i < 100; ++i) {
    const double miss = value(t) - y;
    (miss > 0 ? high : low) = t;
    const double gradient = slope(t);
    double next = gradient > 0 ? t - miss / gradient : low;
    if (next <= low || next >= high) next = (low + high) / 2;
    if (std::abs(next - t) <= 1e-15 * width) return next;
    t = next;
  }
  return t;
}

}  // namespace basefog::numeric

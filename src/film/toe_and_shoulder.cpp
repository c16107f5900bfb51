// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/toe_and_shoulder.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace basefog::film {
namespace {

double logistic(double z) { return 1 / (1 + std::exp(-z)); }

}  // namespace

double ToeAndShoulder::gradient(double x) const {
  return logistic((x - toe) / toe_width) * logistic((shoulder - x) / shoulder_width);
}

double ToeAndShoulder::rise(double from, double to) const {
  const double middle = (from + to) / 2;
  const double half = (to - from) / 2;
  const double node = half * std::sqrt(0.6);
  return half / 9 *
         (5 * gradient(middle - node) + 8 * gradient(middle) + 5 * gradient(middle + node));
}

double ToeAndShoulder::density(double x) const { return densities(std::array{x}).front(); }

std::vector<double> ToeAndShoulder::densities(std::span<const double> rising) const {
  std::vector<double> result;
  if (rising.empty()) return result;
  // Below the foot only the toe is left, whose integral is toe_width ln(1 + e^z).
  double at = std::min(rising.front(), toe - 6 * toe_width);
  double sum = toe_width * std::log1p(std::exp((at - toe) / toe_width)) *
               logistic((shoulder - at) / shoulder_width);
  for (const double x : rising) {
    const double from = at;
    const int spans = static_cast<int>(std::ceil((x - from) / kSpan));
    for (int i = 0; i < spans; ++i) {
      sum += rise(from + (x - from) * i / spans, from + (x - from) * (i + 1) / spans);
    }
    at = x;
    result.push_back(sum);
  }
  return result;
}

}  // namespace basefog::film

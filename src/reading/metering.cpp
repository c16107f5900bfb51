// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/metering.hpp"

#include <algorithm>
#include <cmath>

#include "core/plain_text.hpp"

namespace basefog::reading {
namespace {

/// Centre-weighted: 60 to 75 % of the weight on a circle of 12 mm on 24x36, and a spot of 3 to 6 mm
/// (common practice); diameters as shares of the long side.
constexpr double kCentreShare = 0.65;
constexpr double kCentreDiameter = 1.0 / 3;
constexpr double kSpotDiameter = 0.16;

/// Probability of a spot reading where the camera has a spot meter but the log does not say
/// (judgement).
constexpr double kSpotProbability = 0.2;

/// Apertures whose centre lies on a disc; where none does, the nearest to its middle.
std::vector<bool> on_disc(int columns, int rows, double x, double y, double diameter) {
  const double radius = diameter * std::max(columns, rows) / 2;
  std::vector<bool> inside(static_cast<std::size_t>(columns) * rows, false);
  bool any = false;
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      if (std::hypot(i + 0.5 - x * columns, j + 0.5 - y * rows) > radius) continue;
      inside[static_cast<std::size_t>(j) * columns + i] = true;
      any = true;
    }
  }
  if (!any) {
    const int i = std::clamp(static_cast<int>(x * columns), 0, columns - 1);
    const int j = std::clamp(static_cast<int>(y * rows), 0, rows - 1);
    inside[static_cast<std::size_t>(j) * columns + i] = true;
  }
  return inside;
}

/// `share` of the weight evenly inside, the rest evenly outside.
std::vector<double> shared_out(const std::vector<bool>& inside, double share) {
  const auto count = static_cast<double>(std::count(inside.begin(), inside.end(), true));
  const double rest = static_cast<double>(inside.size()) - count;
  if (rest == 0) share = 1;
  std::vector<double> weight(inside.size());
  for (std::size_t i = 0; i < weight.size(); ++i) {
    weight[i] = inside[i] ? share / count : (1 - share) / rest;
  }
  return weight;
}

}  // namespace

std::vector<double> metering_weights(MeteringPattern pattern, int columns, int rows, double spot_x,
                                     double spot_y) {
  switch (pattern) {
    case MeteringPattern::centre_weighted:
      return shared_out(on_disc(columns, rows, 0.5, 0.5, kCentreDiameter), kCentreShare);
    case MeteringPattern::spot:
      return shared_out(on_disc(columns, rows, spot_x, spot_y, kSpotDiameter), 1.0);
    case MeteringPattern::average:
    case MeteringPattern::unknown:
      break;
  }
  const std::size_t count = static_cast<std::size_t>(columns) * rows;
  return std::vector<double>(count, 1.0 / static_cast<double>(count));
}

std::optional<MeteringPattern> pattern_named(std::string_view words) {
  const std::string plain = plain_form(words);
  const auto any = [&](std::initializer_list<std::string_view> parts) {
    return std::ranges::any_of(
        parts, [&](std::string_view part) { return plain.find(part) != std::string::npos; });
  };
  if (any({"matrix", "multi", "evaluative", "segment", "incident"})) return std::nullopt;
  if (any({"spot"})) return MeteringPattern::spot;
  if (any({"cent", "middle", "cw"})) return MeteringPattern::centre_weighted;
  if (any({"average", "averaging", "integral", "whole frame"})) return MeteringPattern::average;
  return std::nullopt;
}

std::vector<PossibleMetering> possible_meterings(const ReadingOptions& options, int columns,
                                                 int rows) {
  const auto metering = [&](MeteringPattern pattern, double probability) {
    return PossibleMetering{
        probability, metering_weights(pattern, columns, rows, options.spot_x, options.spot_y)};
  };
  if (options.pattern != MeteringPattern::unknown) return {metering(options.pattern, 1)};
  const double spot = options.spot_possible ? kSpotProbability : 0;
  std::vector<PossibleMetering> possible = {
      metering(MeteringPattern::average, (1 - spot) / 2),
      metering(MeteringPattern::centre_weighted, (1 - spot) / 2)};
  if (options.spot_possible) possible.push_back(metering(MeteringPattern::spot, spot));
  return possible;
}

}  // namespace basefog::reading

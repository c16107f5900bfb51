// SPDX-License-Identifier: GPL-3.0-or-later
#include "evidence/hue_spread.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::evidence {
namespace {

/// Densities between which hues show and noise is small (judgement).
constexpr double kThinnest = 0.15;
constexpr double kDensest = 2.0;
/// Places of about equal density that are compared with one another, and the least of them.
constexpr std::size_t kClass = 24;
constexpr std::size_t kLeastPlaces = 8 * kClass;

struct Place {
  double density;              ///< mean of the channels
  std::array<double, 2> over;  ///< of red and of blue over green
};

std::vector<Place> places_of(const density::FrameMeasurement& frame,
                             const density::FilmBase& base) {
  const density::ApertureGrid& grid = frame.apertures;
  std::vector<Place> places;
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.columns; ++x) {
      std::array<double, 3> net{};
      bool whole = true;
      for (int c = 0; c < 3; ++c) {
        const std::size_t i = grid.index(c, x, y);
        net[static_cast<std::size_t>(c)] = density::net_density(grid, base, c, x, y).value();
        whole = whole && !(grid.clipped[i] > 0) && !(grid.floored[i] > 0);
      }
      const double mean = (net[0] + net[1] + net[2]) / 3;
      if (!whole || mean < kThinnest || mean > kDensest) continue;
      places.push_back({mean, {net[0] - net[1], net[2] - net[1]}});
    }
  }
  return places;
}

}  // namespace

std::optional<double> hue_spread(const density::FrameMeasurement& frame,
                                 const density::FilmBase& base) {
  if (frame.apertures.channels != 3 || base.density.size() != 3) return std::nullopt;
  std::vector<Place> places = places_of(frame, base);
  if (places.size() < kLeastPlaces) return std::nullopt;
  std::ranges::sort(places, {}, &Place::density);
  std::array<std::vector<double>, 2> off;
  for (std::size_t first = 0; first + kClass <= places.size(); first += kClass) {
    for (std::size_t k = 0; k < off.size(); ++k) {
      std::vector<double> over;
      for (std::size_t i = first; i < first + kClass; ++i) over.push_back(places[i].over[k]);
      const double middle = numeric::median(over);
      for (const double one : over) off[k].push_back(one - middle);
    }
  }
  double spread = 0;
  for (const std::vector<double>& one : off) {
    spread = std::max(spread, (numeric::quantile(one, 0.9) - numeric::quantile(one, 0.1)) / 2);
  }
  return spread;
}

}  // namespace basefog::evidence

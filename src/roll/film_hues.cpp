// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_hues.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

/// Densities between which hues show and noise is small (judgement).
constexpr double kThinnest = 0.15;
constexpr double kDensest = 2.0;
/// Places of about equal density that are compared with one another, and the least of them.
constexpr std::size_t kClass = 24;
constexpr std::size_t kLeastPlaces = 8 * kClass;

/// Spread that gray film does not reach. Simulated scans of twenty panoramas on black-and-white
/// film have 0.001, 0.005 as JPEG of 8 bits, 0.022 where the channels lie a pixel of 0.05 mm apart
/// and the light is of another colour at one side by 4 %; on colour film half of them have 0.05 and
/// more, and four of twenty, gray scenes, less than this.
constexpr double kHues = 0.03;

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

std::optional<RollDoubt> check_hues(std::span<const ReferencedFrame> frames,
                                    const film::FilmProfile& film) {
  if (film.layers.size() != 1) return std::nullopt;
  std::vector<double> spreads;
  RollDoubt doubt{.warning = {std::nullopt, Flag::hues_on_gray_film}};
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].state != density::FrameState::measured) continue;
    const auto spread = hue_spread(frames[i].measurement, frames[i].base);
    if (!spread) continue;
    spreads.push_back(*spread);
    if (*spread > kHues) doubt.frames.push_back(i);
  }
  // One frame may be stained or badly lit; a film is of one kind.
  if (spreads.empty() || numeric::median(spreads) <= kHues) return std::nullopt;
  return doubt;
}

}  // namespace basefog::roll

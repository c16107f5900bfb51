// SPDX-License-Identifier: GPL-3.0-or-later
// A film as a table of measured or published densities, read by straight lines between its rows: a
// truth that shares nothing with the curves of the library.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "basefog/density/density.hpp"
#include "makers/golden_table.hpp"

namespace basefog {

struct TabulatedFilm {
  std::vector<double> log_exposure;
  std::vector<std::vector<double>> density;  ///< one column a layer, base included
  std::vector<double> base;                  ///< least density of each column

  /// Density at an exposure on the table's own axis, held at its ends.
  double density_at(std::size_t layer, double log_h) const {
    return interpolate(log_exposure, density[layer], log_h);
  }
  /// Exposure on the table's own axis at which a layer is `net` above base.
  double log_exposure_at(std::size_t layer, double net) const {
    return interpolate(density[layer], log_exposure, base[layer] + net);
  }

  static double interpolate(const std::vector<double>& from, const std::vector<double>& to,
                            double x) {
    // The last row whose value is still below x, so that flat starts are passed over.
    const auto after = std::lower_bound(from.begin(), from.end(), x);
    if (after == from.begin()) return to.front();
    if (after == from.end()) return to.back();
    const auto i = static_cast<std::size_t>(after - from.begin());
    return to[i - 1] + (x - from[i - 1]) / (from[i] - from[i - 1]) * (to[i] - to[i - 1]);
  }
};

/// Columns of a golden table by their heads; its first column is log10 exposure.
inline TabulatedFilm read_film(const std::string& name, const std::vector<std::string>& heads) {
  const GoldenTable table = read_golden(name);
  const auto column = [&](std::size_t number) {
    std::vector<double> values;
    for (const auto& row : table.rows) values.push_back(row.at(number));
    return values;
  };
  TabulatedFilm film;
  film.log_exposure = column(0);
  for (const std::string& head : heads) {
    const auto found = std::find(table.columns.begin(), table.columns.end(), head);
    film.density.push_back(column(static_cast<std::size_t>(found - table.columns.begin())));
    film.base.push_back(*std::min_element(film.density.back().begin(), film.density.back().end()));
  }
  return film;
}

/// A scan's own zero, so that densities against full scale differ from densities of the film.
inline constexpr double kScanZero = -0.07;

/// A frame whose layers have these densities (base included), row by row, one vector a layer.
inline density::FrameMeasurement frame_of(int columns, int rows,
                                          const std::vector<std::vector<double>>& densities) {
  density::FrameMeasurement frame;
  density::ApertureGrid& grid = frame.apertures;
  grid.columns = columns;
  grid.rows = rows;
  grid.channels = static_cast<int>(densities.size());
  for (const auto& layer : densities) {
    for (double density : layer) grid.density.push_back(static_cast<float>(density + kScanZero));
    frame.densest.push_back(Density::from_value(3.6));
  }
  grid.sigma.assign(grid.density.size(), 0.002F);
  grid.clipped.assign(grid.density.size(), 0.0F);
  grid.floored.assign(grid.density.size(), 0.0F);
  return frame;
}

inline density::FilmBase base_of(const TabulatedFilm& film, double sigma = 0.004) {
  density::FilmBase base;
  base.kind = density::ReferenceKind::rebate;
  for (double density : film.base) {
    base.density.push_back(Density::from_value(density + kScanZero));
    base.sigma.push_back(DensityDifference(sigma));
  }
  return base;
}

}  // namespace basefog

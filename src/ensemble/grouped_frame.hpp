// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "reading/metering.hpp"
#include "reading/net_densities.hpp"

namespace basefog::ensemble {

/// One layer of a grouped frame.
struct GroupedLayer {
  std::size_t layer = 0;        ///< index into FilmProfile::layers
  double weight = 1;            ///< share of the layer's exposure in the picture's, sum 1
  std::vector<double> density;  ///< net, one a group: of the group's mean exposure
  double base_sigma = 0;
  double greatest_density = 0;                               ///< net, of the densest aperture
  double densest = std::numeric_limits<double>::infinity();  ///< net, where the scan's range ends
};

/// A frame small enough to be read through hundreds of films: its apertures in order of exposure,
/// in groups of equal area, each with the density that stands for its mean exposure under the film
/// as given. Under that film metered means are exact; under a film whose contrast is a fifth more
/// or less, exposure and percentiles are within 0.05 stop of reading every aperture, and the
/// correction loses at most 0.5 % of the frame more than the best
/// (GroupedFrame.is_as_good_as_every_aperture).
struct GroupedFrame {
  std::vector<GroupedLayer> layers;
  /// Per possible metering, one a group: what the group's exposure counts in the metered mean.
  std::vector<std::vector<double>> weight;
  std::vector<double> metering_probability;
  std::vector<double> beyond;  ///< share of each group that lies beyond the scan's range
  double response_sigma = 0;   ///< relative, of every density difference
  bool range_is_cut = false;   ///< an end of the range lies in clear film or beyond film or scan
  bool own_base = false;       ///< the density zero is this frame's alone
  bool base_clipped = false;
  bool one_of_several_layers = false;  ///< has no correction of its own

  /// Stops below the speed point at which density fades into base.
  static constexpr double kClearFilmStops = 1;

  std::size_t groups() const { return beyond.size(); }
  /// The group at a share of the frame from its darkest place.
  std::size_t group_at(double share) const {
    return static_cast<std::size_t>(share * static_cast<double>(groups() - 1));
  }
};

/// One layer of a frame as a frame of its own.
GroupedFrame alone(const GroupedFrame& frame, std::size_t layer);

GroupedFrame group_apertures(const reading::NetDensities& densities, const film::FilmProfile& film,
                             std::span<const reading::PossibleMetering> meterings);

}  // namespace basefog::ensemble

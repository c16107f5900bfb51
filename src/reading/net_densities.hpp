// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "basefog/density/density.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::reading {

/// The net densities of one film layer over a frame's apertures, row by row. Exposure is averaged
/// over an aperture, but a densitometer averages transmittance, which reads too little where an
/// aperture holds detail; so each aperture is read in parts, as finely as the measurement allows.
struct LayerDensities {
  std::size_t layer = 0;             ///< index into FilmProfile::layers
  double weight = 1;                 ///< share of the layer's exposure in the picture's
  std::vector<double> density;       ///< net, one per aperture
  std::vector<double> sigma;         ///< standard deviation of each by grain and scanner noise
  std::vector<std::uint8_t> beyond;  ///< 1 beyond the scan's range: the density is a lower bound
  std::vector<float> parts;          ///< net, NetDensities::parts_per_aperture to each aperture
  double base_sigma = 0;             ///< of base + fog, common to all apertures
  /// Net density at which the scan's own range ends; infinity where nothing ends it.
  double densest = std::numeric_limits<double>::infinity();
};

struct NetDensities {
  int columns = 0;
  int rows = 0;
  int parts_per_aperture = 1;
  std::vector<LayerDensities> layers;
  double response_sigma = 0;  ///< relative, of every density difference on the frame
  FlagSet flags;

  std::size_t apertures() const { return static_cast<std::size_t>(columns) * rows; }
};

/// What read the frame, for FilmProfile::measured_through: its response and, where the file names
/// it, the scanner, since two scanners read by one assumption have errors of their own.
std::string read_through(const density::FrameMeasurement& frame);

/// Relative sigma of the frame's densities against the film's curve by the scan's response: its
/// own, or hardly any where the curve was measured through the same one.
double response_sigma(const density::FrameMeasurement& frame, const film::FilmProfile& film);

/// Net densities of a frame, one set a film layer. Black-and-white film scanned in colour: the mean
/// of the channels, which see the same silver. Colour film scanned as gray: the green layer
/// (flag colour_scanned_as_gray). Layers are weighted as luminance is made of red, green and blue
/// light, 0.2126, 0.7152, 0.0722 [BT709], which is what a meter is meant to see.
/// The frame must hold apertures, and base one density a channel.
NetDensities net_densities(const density::FrameMeasurement& frame, const density::FilmBase& base,
                           const film::FilmProfile& film);

}  // namespace basefog::reading

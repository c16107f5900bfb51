// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "basefog/density/density.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::evidence {

/// Where on b the place (x, y) of a is found: (x + dx, y + dy), in pixels of the pictures.
struct ViewShift {
  int dx = 0;
  int dy = 0;
  double likeness = 0;  ///< correlation of the densities that both show, -1 to 1
};

/// A picture made ready to be held against others: what a first comparison needs.
struct ViewSketch {
  const density::NegativePicture* picture = nullptr;  ///< not owned
  cv::Mat coarse;  ///< mean density of the channels, long side 120
  cv::Mat detail;  ///< of it, what is finer than the large shapes
};
ViewSketch sketch_view(const density::NegativePicture& picture);

/// Registers two pictures of perhaps the same view by phase correlation; empty where their
/// sizes differ by more than 3 % or they do not show the same view. A shift of up to an eighth of
/// the long side is found.
std::optional<ViewShift> find_same_view(const ViewSketch& a, const ViewSketch& b);

/// Density difference between two frames of one view at places of about the same mean density:
/// medians over places, so that what moved between the frames counts little. Sorting places by the
/// mean of both densities, not by one of them, keeps noise from bending the relation.
struct DensityPair {
  std::size_t layer = 0;
  double mean = 0;        ///< net density, mean of both frames
  double difference = 0;  ///< second less first
  double sigma = 0;       ///< standard deviation of difference
};

std::vector<DensityPair> paired_densities(const density::FrameMeasurement& a,
                                          const density::FilmBase& base_a,
                                          const density::FrameMeasurement& b,
                                          const density::FilmBase& base_b, const ViewShift& shift,
                                          const film::FilmProfile& film);

}  // namespace basefog::evidence

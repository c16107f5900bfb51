// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "evidence/same_view.hpp"

namespace basefog::evidence {

/// Densities of two frames of one view.
struct FramePair {
  std::size_t first = 0;  ///< index into ContrastProblem::logged
  std::size_t second = 0;
  std::vector<DensityPair> densities;
};

/// Frames with logged exposures and the densities that pairs of them share.
struct ContrastProblem {
  std::vector<double> logged;      ///< stops, one a frame; differences within a view count
  std::vector<double> base_sigma;  ///< density, one a frame
  std::vector<FramePair> pairs;
  double exposure_sigma = 0.08;        ///< stops
  double contrast_sigma = 0.15;        ///< prior of ln(contrast factor)
  double usual_contrast_sigma = 0.15;  ///< of developments, from which `surprise` is judged
};

struct ContrastFit {
  double log_factor = 0;  ///< ln of the average gradient's factor
  double log_factor_sigma = 0;
  double toe = 0;  ///< lengthening, as CharacteristicCurve::with_toe
  double toe_sigma = 0;
  double shoulder = 0;  ///< stops, as CharacteristicCurve::with_shoulder
  double shoulder_sigma = 0;
  std::vector<double> exposure_error;  ///< stops, one a frame: used less logged
  /// Sum of squares of contrast and exposure errors in units of their priors' sigmas: about the
  /// number of frames plus one where the log is right.
  double surprise = 0;
};

/// Fits contrast, toe and shoulder of a film to pairs of densities, with each frame's exposure and
/// base free within their sigmas.
ContrastFit fit_contrast(const ContrastProblem& problem, const film::FilmProfile& film);

/// The film as the fit found it.
film::FilmProfile fitted_film(const film::FilmProfile& film, const ContrastFit& fit);

}  // namespace basefog::evidence

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_profile.hpp"
#include "evidence/same_view.hpp"

namespace basefog::evidence {

// Contrast, toe and shoulder of a film from frames of one view whose logged exposures differ.
//
// Formula. A pair of frames has logged exposures that differ by `step` stops; at places of mean
// density D both differ by d. A curve with density D(x) at x stops above the speed point predicts
//
//   d = D(x + step / 2) - D(x - step / 2), with x so that their mean is D
//
// for the film varied by c = ln of the contrast factor, t = toe, s = shoulder (film_profile.hpp).
// All three have normal priors about 0. What is linear in other unknowns makes the covariance of
// the data (i, j: data; f, g: their layers; u = change of d with step, density a stop; sign +1 for
// a pair's second frame, -1 for its first):
//
//   cov(i, j) = u_i u_j (sum over frames of sign_i sign_j) exposure_sigma^2       exposures off
//             + sum over frames of sign_i sign_j base_sigma^2                    bases off
//             + d_i d_j w(D_i) w(D_j) exp(-|D_i - D_j| / 0.4), f = g only        wander of the form
//             + (i = j) (sigma_i^2 + 0.002^2 + (0.05 d_i)^2)                     reading
//   w(D)      = 0.08 + 0.25 exp(-D / 0.12)
//
// Gauss-Newton finds c, t, s of greatest posterior density; the covariance follows the film. The
// contrast returned is that of the real curve, form times wander: c plus the mean wander over ISO
// 6's triangle as the data show it, T' C^-1 miss, with the variance A S A' + V - T' C^-1 T (S
// covariance of c, t, s; A = (1, 0, 0) - T' C^-1 slopes; V variance of the mean wander).
//
// The scatter of exposures is not known: seven from 0.1 to 2 times the one assumed are fitted, each
// counts by its evidence (Laplace's approximation) times a prior, normal in its logarithm with 0.8.
// Contrast is the mean over them, its variance theirs plus that of their means; toe and shoulder
// are the best one's.
//
// Assumes. One view under one light; the film's form is right to its wander; errors are normal.
//
// Costs. n data (classes of density, a few for each pair of frames): for each of seven scatters up
// to 12 rounds of one n x n factorisation and four predictions of all data.
//
// Accurate. One bracket of exact exposures finds the contrast to 4 % on nine rolls of ten
// (ExposureSeries.one_bracket_with_exact_exposures_finds_the_contrast); three of a camera that
// scatters by 0.08 stop to 6 %
// (ExposureSeries.three_brackets_find_the_contrast_where_the_camera_scatters); intervals hold on
// both. Through scans: film_studies bracket (tests/validation).
//
// Fails. Without data on the curve's readable part it returns the priors. `surprise` is what the
// caller judges a wrong log or changed light by (ExposureSeries.wrong_row_is_left_out,
// ExposureSeries.changed_light_is_noticed). A pair that shows a part of the triangle only leans on
// the form of usual curves.
//
// Source. Least squares with the priors as data [Marquardt1963]; wander as a Gaussian process
// [Rasmussen2006, 2.7] with the sizes of [StepWedge]; the rest is ours.

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
  double shoulder_sigma = 1;           ///< prior of its place, stops
};

struct ContrastFit {
  double log_factor = 0;  ///< ln of the average gradient's factor
  double log_factor_sigma = 0;
  /// Of contrast, toe and shoulder, the priors taken off again; of the layers of colour film, that
  /// each was measured.
  film::FilmEvidence evidence;
  std::vector<double> exposure_error;  ///< stops, one a frame: used less logged
  /// Sum of squares of contrast and exposure errors in units of their priors' sigmas: about the
  /// number of frames plus one where the log is right.
  double surprise = 0;
};

/// Each frame's exposure and base are free within their sigmas.
ContrastFit fit_contrast(const ContrastProblem& problem, const film::FilmProfile& film);

}  // namespace basefog::evidence

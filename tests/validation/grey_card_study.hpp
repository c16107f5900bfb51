// SPDX-License-Identifier: GPL-3.0-or-later
// How true a film test is: nine frames of a grey card from -4 to +4 stops on a film whose
// own curve the estimator is not told, scanned, written, read with their log, and made a profile.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "simulator/film.hpp"

namespace validation {

struct GreyCardStudy {
  int rolls = 10;
  std::uint64_t seed = 1;
  bool colour = false;
  double scatter = 0;      ///< of each exposure about its mark, stops, one sigma
  double pixel_mm = 0.05;  ///< of the scans
  bool trusted = false;    ///< exposures by a meter that is right; else by the camera's own
};

/// A roll as photographed: what is on the disk and what is true.
struct GreyCardRoll {
  std::vector<std::filesystem::path> scans;
  std::filesystem::path log;
  simulator::Film film;
  double meter_bias = 0;  ///< stops, of the camera's meter; 0 for a trusted one
};

/// Photographs, scans and writes roll number `roll` of a study into a folder.
GreyCardRoll photograph_grey_card(const GreyCardStudy& study, int roll,
                                  const std::filesystem::path& folder);

struct GreyCardOutcome {
  std::string failure;  ///< empty where there is a profile
  int steps = 0;        ///< that were used
  /// Film speed against the truth, or speed and meter together, stops.
  double speed_error = 0;
  bool speed_held = false;  ///< by its interval
  /// Of each layer's average gradient against the truth, as a share.
  std::vector<double> contrast_error;
  std::vector<bool> contrast_held;
};

/// Runs all rolls; the same numbers on every run.
std::vector<GreyCardOutcome> run(const GreyCardStudy& study, const std::filesystem::path& folder);

/// Average gradient of one layer of a simulated film over 1.30 log H from its own speed point.
double true_gradient(const simulator::Film& film, std::size_t layer);

}  // namespace validation

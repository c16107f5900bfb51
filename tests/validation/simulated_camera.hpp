// SPDX-License-Identifier: GPL-3.0-or-later
// Rolls of 36 frames through a camera whose errors are known: real readings of simulated scenes
// (record_rolls), and the log that a photographer would have kept. Shares nothing with the
// estimator but the form of its input.
#pragma once

#include <filesystem>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "basefog/meter/meter_bias.hpp"

namespace study {

/// What was read of one frame, and what its film really got, in stops from the aim.
struct RecordedFrame {
  double true_exposure = 0;
  double read = 0;
  std::string ends;  ///< of the interval that are known: both, low, high, none
  basefog::reading::ErrorBudget budget{};
};

struct RecordedRoll {
  std::string film;  ///< "test", "generic": what was known of its curve
  std::vector<RecordedFrame> frames;
};

/// Reads what record_rolls prints. Throws std::runtime_error.
std::vector<RecordedRoll> read_recorded_rolls(const std::filesystem::path& path);

/// What is wrong with a camera, in stops.
struct CameraErrors {
  double bias = 0;
  double slope_per_ev = 0;         ///< about EV 11
  std::map<int, double> shutter;   ///< by mark: the power of two of 1/t
  std::map<int, double> aperture;  ///< by mark: full stops from f/1
};

/// A sound camera: every speed and stop within its tolerance, bias zero.
CameraErrors sound_camera(std::mt19937& random);

/// The roll as the fit gets to see it: frames whose reading has both ends. roll_offset: film batch
/// and development of this roll.
std::vector<basefog::meter::DeviationSample> shoot(const RecordedRoll& recorded,
                                                   const CameraErrors& camera, double roll_offset,
                                                   const std::string& name, std::mt19937& random);

/// How many of the frames have each shutter mark.
std::map<int, int> frames_by_shutter(const std::vector<basefog::meter::DeviationSample>& samples);
basefog::ShutterTime marked_time(int mark);

}  // namespace study

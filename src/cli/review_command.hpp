// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "basefog/frame_reading.hpp"
#include "cli/outputs.hpp"

namespace basefog::cli {

/// The words of `basefog review`, as given.
struct ReviewArguments {
  std::vector<std::filesystem::path> scans;
  std::optional<std::filesystem::path> log;
  std::optional<std::filesystem::path> match;  ///< pairs that the user fixed
  std::optional<std::filesystem::path> camera;
  std::string film;  ///< bw, colour, chromogenic, or a profile file; empty: from the scans
  std::optional<double> film_speed;
  std::string response;  ///< linear, srgb, gamma=N or a response file; empty: from the files
  std::optional<std::filesystem::path> light;
  std::optional<std::filesystem::path> base_scan;
  MeteringPattern metering = MeteringPattern::unknown;
  double aim_k = 12.5;
  double aim_q = 0.65;
  int threads = 0;
  bool quiet = false;
  Outputs outputs;
};

/// Reviews one roll and writes what was asked for. Returns an ExitStatus; throws InputError.
int run_review(const ReviewArguments& arguments);

}  // namespace basefog::cli

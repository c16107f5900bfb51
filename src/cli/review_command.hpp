// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "cli/outputs.hpp"
#include "cli/roll_options.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog review`, as given.
struct ReviewArguments {
  RollArguments roll;
  Outputs outputs;
  bool sidecar = false;         ///< XMP into the output folder
  bool sidecar_beside = false;  ///< XMP next to the scans
};

/// Reviews one roll and writes what was asked for. Returns an ExitStatus; throws InputError.
int run_review(const ReviewArguments& arguments);

/// `basefog review SCANS...`
void add_review_command(CLI::App& app, int& status);

}  // namespace basefog::cli

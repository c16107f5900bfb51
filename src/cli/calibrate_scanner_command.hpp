// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog calibrate scanner`, as given.
struct CalibrateScannerArguments {
  /// A scan of the tablet, or a table of "code,density" lines (.csv, .tsv, .txt).
  std::filesystem::path tablet;
  std::optional<std::filesystem::path> steps;    ///< densities of the tablet's steps
  std::optional<std::filesystem::path> patches;  ///< where the patches are, else they are found
  double tablet_sigma = 0.01;
  double full_scale = 65535;  ///< of the codes in a table
  std::filesystem::path out;  ///< the response file
};

/// Calibrates a scanner, writes its response file and prints how well it fits. Returns an
/// ExitStatus; throws InputError.
int run_calibrate_scanner(const CalibrateScannerArguments& arguments);

/// `basefog calibrate scanner TABLET`
void add_calibrate_scanner_command(CLI::App& calibrate, int& status);

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/terminal.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog equivalents`, as given.
struct EquivalentsArguments {
  std::vector<std::string> settings;  ///< "1/125", "f/8", in either order
  std::string stops;                  ///< as in a log: "+1", "-2/3"
  std::optional<std::filesystem::path> camera;
  std::string lens;
  std::optional<double> focal_length;
  std::optional<std::filesystem::path> json;
  Colour colour = Colour::automatic;
};

/// Prints the marked settings that give the same exposure, or one so many stops away. Returns an
/// ExitStatus; throws InputError.
int run_equivalents(const EquivalentsArguments& arguments);

/// `basefog equivalents 1/125 f/8`
void add_equivalents_command(CLI::App& app, int& status);

}  // namespace basefog::cli

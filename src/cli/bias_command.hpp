// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "basefog/meter/bias_history.hpp"
#include "cli/terminal.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog bias`, as given.
struct BiasArguments {
  std::optional<std::string> camera;  ///< absent: every camera in the ledger
  std::optional<std::filesystem::path> ledger;
  std::optional<std::filesystem::path> json;
  std::optional<std::filesystem::path> plot;  ///< SVG, of one camera
  Colour colour = Colour::automatic;
};

/// The ledger named, or that of the settings, or the one in the data folder.
std::filesystem::path ledger_path(std::optional<std::filesystem::path> ledger);
/// The rolls of a ledger by camera. Throws InputError where there are none, or none of `camera`.
std::map<std::string, std::vector<meter::RememberedRoll>> rolls_by_camera(
    const std::filesystem::path& ledger, const std::optional<std::string>& camera);

/// Fits all remembered rolls of each camera. Returns an ExitStatus; throws InputError.
int run_bias(const BiasArguments& arguments);

/// The words of `basefog ledger`, as given.
struct LedgerArguments {
  std::optional<std::filesystem::path> ledger;
  std::optional<std::string> remove;  ///< a roll's name
  std::optional<std::string> camera;  ///< whose roll, where two cameras have one of that name
  std::optional<std::filesystem::path> json;
};

/// Lists the remembered rolls, or removes one. Returns an ExitStatus; throws InputError.
int run_ledger(const LedgerArguments& arguments);

/// `basefog bias`
void add_bias_command(CLI::App& app, int& status);

/// `basefog ledger`
void add_ledger_command(CLI::App& app, int& status);

}  // namespace basefog::cli

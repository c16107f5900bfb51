// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <optional>
#include <string>

#include "basefog/report/report.hpp"
#include "cli/outputs.hpp"
#include "cli/roll_options.hpp"
#include "cli/terminal.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of --style.
const std::map<std::string, report::TableLayout>& table_layouts();

/// The words of `basefog review`, as given.
struct ReviewArguments {
  RollArguments roll;
  std::vector<std::filesystem::path> records;  ///< of scans measured before, in place of scans
  Outputs outputs;
  std::optional<report::TableLayout> layout;  ///< absent: a table
  Colour colour = Colour::automatic;
  bool sidecar = false;         ///< XMP into the output folder
  bool sidecar_beside = false;  ///< XMP next to the scans
  bool open = false;            ///< show the report when it is written
  bool remember = false;        ///< keep the roll in the ledger
  std::string roll_name;        ///< its name there; empty: the log's, or the folder's
};

/// As the words say.
roll::ReviewOptions review_options(const ReviewArguments& arguments);

/// Adds what the ledger has of the roll before this one; nothing where there is no ledger, or none
/// that can be read.
void add_previous_roll(const ReviewArguments& arguments, roll::Analysis& analysis);

/// Writes what was asked for of a reviewed roll. index: as for page::write_html. Throws InputError
/// (not_writable).
void write_results(const ReviewArguments& arguments, const roll::Analysis& analysis,
                   const std::string& index = "");

/// Keeps what a reviewed roll says of the meter in the ledger. Throws InputError where it says too
/// little, and where the ledger cannot be written.
void remember_roll(const ReviewArguments& arguments, const roll::Analysis& analysis);

/// Reviews one roll, or each roll of a folder of rolls, and writes what was asked for. Returns an
/// ExitStatus; throws InputError.
int run_review(const ReviewArguments& arguments);

/// `basefog review SCANS...`
void add_review_command(CLI::App& app, int& status);

}  // namespace basefog::cli

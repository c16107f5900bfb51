// SPDX-License-Identifier: GPL-3.0-or-later
#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>

#include "basefog/core/error.hpp"
#include "basefog/core/version.hpp"
#include "cli/app_words.hpp"
#include "cli/bias_command.hpp"
#include "cli/calibrate_scanner_command.hpp"
#include "cli/card_command.hpp"
#include "cli/desk_command.hpp"
#include "cli/equivalents_command.hpp"
#include "cli/exit_status.hpp"
#include "cli/film_commands.hpp"
#include "cli/log_commands.hpp"
#include "cli/manual_commands.hpp"
#include "cli/proof_command.hpp"
#include "cli/read_command.hpp"
#include "cli/review_command.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"
#include "manual/nearest_word.hpp"
#include "report/markup.hpp"

namespace basefog::cli {
namespace {

/// Help in our own words, the same that manual and completion are made from.
class HelpFormatter : public CLI::FormatterBase {
 public:
  std::string make_help(const CLI::App* app, std::string, CLI::AppFormatMode) const override {
    std::string path = app->get_name();
    for (const CLI::App* up = app->get_parent(); up != nullptr; up = up->get_parent()) {
      path = up->get_name() + " " + path;
    }
    manual::CommandWords words = words_of(*app);
    words.path = path;
    return manual::help_text(words);
  }
};

/// What was wrong with the words, what was probably meant, and which help to read.
std::string usage_problem(const CLI::App* app, const CLI::Error& error) {
  const CLI::App* command = app;
  std::string path = app->get_name();
  for (auto below = app->get_subcommands(); !below.empty(); below = command->get_subcommands()) {
    command = below[0];
    path += " " + command->get_name();
  }
  const std::vector<std::string> unknown = app->remaining(true);
  std::string problem = error.what();
  if (!unknown.empty()) {
    // "--log=roll.csv" is of the option --log.
    const std::string word = unknown.front().substr(0, unknown.front().find('='));
    const manual::CommandWords words = words_of(*command);
    if (word.starts_with('-')) {
      problem =
          path + " has no option " + word + manual::suggestion(word, manual::option_names(words));
    } else if (!words.commands.empty()) {
      problem =
          path + " has no command " + word + manual::suggestion(word, manual::command_names(words));
    }
  }
  return "basefog: " + report::printable(problem) + "\nSee " + path + " --help.\n";
}

void add_commands(CLI::App& app, int& status) {
  add_review_command(app, status);
  add_desk_command(app, status);
  add_proof_command(app, status);
  add_card_command(app, status);
  add_read_command(app, status);
  add_bias_command(app, status);
  add_ledger_command(app, status);
  add_equivalents_command(app, status);
  add_log_command(app, status);
  add_logsheet_command(app, status);
  add_film_command(app, status);
  CLI::App* calibrate = app.add_subcommand("calibrate", "Measure a scanner or a film");
  calibrate->require_subcommand(1);
  add_calibrate_scanner_command(*calibrate, status);
  add_calibrate_film_command(*calibrate, status);
  add_settings_command(app, status);
  add_manual_command(app, status);
  add_completion_command(app, status);
}

int run(int argc, char** argv) {
  CLI::App app("Reads scans of negative film back to the exposure that the film received",
               "basefog");
  app.formatter(std::make_shared<HelpFormatter>());
  app.failure_message(usage_problem);
  app.set_version_flag("--version", std::string("basefog ") + kVersion, "Print the version");
  app.require_subcommand(1);
  int status = kAllMeasured;
  add_commands(app, status);
  // After the commands, which would take it over.
  app.footer(
      "basefog reads the scans of a roll of negatives, works out how much exposure each frame got, "
      "how far that is off in stops and how sure it is, matches the frames to the log, and says "
      "what to dial on the next roll.\n\n"
      "  basefog review scans/ --log log.csv --out result/\n\n"
      "basefog COMMAND --help says what a command takes; basefog manual has the rest.\n");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kAllMeasured : kUsage;  // CLI11 counts from 100
  }
  return status;
}

/// A roll without a single scan is nothing measured; everything else is how the program was called.
ExitStatus status_of(const InputError& error) {
  return error.code() == ErrorCode::no_scans ? kNothingMeasured : kUsage;
}

}  // namespace
}  // namespace basefog::cli

int main(int argc, char** argv) {
  try {
    const int status = basefog::cli::run(argc, argv);
    basefog::cli::check_stdout();
    return status;
  } catch (const basefog::InputError& error) {
    basefog::cli::say(std::string(error.what()) + ".");
    return basefog::cli::status_of(error);
  } catch (const std::exception& error) {
    basefog::cli::say(std::string(error.what()) + ".");
    return basefog::cli::kNothingMeasured;
  }
}

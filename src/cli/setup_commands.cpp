// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/setup_commands.hpp"

#include <CLI/CLI.hpp>
#include <iostream>
#include <map>
#include <memory>

#include "cli/command_words.hpp"
#include "cli/exit_status.hpp"

namespace basefog::cli {
namespace {

const std::map<std::string, Shell> kShells = {
    {"bash", Shell::bash}, {"zsh", Shell::zsh}, {"fish", Shell::fish}};

}  // namespace

void add_manual_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("manual", "Print the manual page, for man");
  command->footer("  basefog manual | man -l -\n");
  command->callback([&app, &status] {
    std::cout << manual_page(words_of(app));
    status = kAllMeasured;
  });
}

void add_completion_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("completion", "Print a script that completes commands in a shell");
  const auto shell = std::make_shared<Shell>(Shell::bash);
  command->add_option("shell", *shell, "The shell")
      ->required()
      ->transform(CLI::CheckedTransformer(kShells))
      ->type_name("bash|zsh|fish");
  command->footer("For this shell alone:\n\n  source <(basefog completion bash)\n");
  command->callback([&app, &status, shell] {
    std::cout << completion_script(words_of(app), *shell);
    status = kAllMeasured;
  });
}

}  // namespace basefog::cli

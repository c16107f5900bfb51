// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/manual_commands.hpp"

#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <map>
#include <memory>

#include "cli/app_words.hpp"
#include "cli/exit_status.hpp"
#include "manual/manual.hpp"
#include "manual/nearest_word.hpp"

namespace basefog::cli {

void add_manual_command(CLI::App& app, int& status) {
  struct Arguments {
    std::string topic;
    bool for_man = false;
  };
  CLI::App* command = app.add_subcommand("manual", "Print the manual, a topic at a time");
  const auto a = std::make_shared<Arguments>();
  command->add_option("topic", a->topic, "What to read about; the topics are listed without it")
      ->type_name(fmt::format("{}", fmt::join(manual::topic_names(), "|")));
  command->add_flag("--man", a->for_man, "Print the page's source for man");
  command->footer("  basefog manual camera\n  basefog manual commands --man | man -l -\n");
  command->callback([&app, &status, a] {
    status = kAllMeasured;
    if (a->topic.empty()) {
      std::cout << manual::topic_list();
      return;
    }
    const std::vector<std::string> names = manual::topic_names();
    if (std::ranges::find(names, a->topic) == names.end()) {
      throw CLI::ValidationError("there is no topic " + a->topic + " in the manual" +
                                 manual::suggestion(a->topic, names) +
                                 "; basefog manual lists them");
    }
    const manual::ManualPage page = manual::manual_page(words_of(app), a->topic);
    std::cout << (a->for_man ? manual::man_page(page) : manual::terminal_page(page));
  });
}

void add_completion_command(CLI::App& app, int& status) {
  static const std::map<std::string, manual::Shell> kShells = {
      {"bash", manual::Shell::bash}, {"zsh", manual::Shell::zsh}, {"fish", manual::Shell::fish}};
  CLI::App* command =
      app.add_subcommand("completion", "Print a script that completes commands in a shell");
  const auto shell = std::make_shared<manual::Shell>(manual::Shell::bash);
  command->add_option("shell", *shell, "The shell")
      ->required()
      ->transform(CLI::CheckedTransformer(kShells))
      ->type_name("bash|zsh|fish");
  command->footer("For this shell alone:\n\n  source <(basefog completion bash)\n");
  command->callback([&app, &status, shell] {
    std::cout << manual::completion_script(words_of(app), *shell);
    status = kAllMeasured;
  });
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/app_words.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>

#include "core/plain_text.hpp"

namespace basefog::cli {
namespace {

constexpr const char* kHelpText = "Print this help";
constexpr const char* kGeneral = "General";

manual::OptionWords words_of(const CLI::App& app, const CLI::Option& option) {
  manual::OptionWords words;
  words.positional = option.get_positional();
  if (words.positional) {
    words.names = {upper_case(option.get_name(true, false))};
  } else {
    for (const std::string& name : option.get_snames()) words.names.push_back("-" + name);
    for (const std::string& name : option.get_lnames()) words.names.push_back("--" + name);
  }
  // A check adds its own words after a colon.
  const std::string type = option.get_type_name();
  if (option.get_type_size() != 0) words.value = type.substr(0, type.find(':'));
  words.text = &option == app.get_help_ptr() ? kHelpText : option.get_description();
  words.preset = option.get_default_str();
  const bool general = &option == app.get_help_ptr() || &option == app.get_version_ptr();
  words.group = general ? kGeneral : option.get_group();
  words.required = option.get_required();
  words.repeated = option.get_expected_max() > 1;
  return words;
}

manual::CommandWords words_of(const CLI::App& app, const std::string& path) {
  manual::CommandWords words;
  words.path = path;
  words.name = app.get_name();
  words.text = app.get_description();
  words.details = app.get_footer();
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_group().empty()) words.options.push_back(words_of(app, *option));
  }
  // What is common to all commands stands last.
  std::stable_partition(words.options.begin(), words.options.end(),
                        [](const manual::OptionWords& option) { return option.group != kGeneral; });
  for (const CLI::App* command : app.get_subcommands({})) {
    words.commands.push_back(words_of(*command, path + " " + command->get_name()));
  }
  return words;
}

}  // namespace

manual::CommandWords words_of(const CLI::App& app) { return words_of(app, app.get_name()); }

}  // namespace basefog::cli

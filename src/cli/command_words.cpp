// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/command_words.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <sstream>

#include "core/plain_text.hpp"

namespace basefog::cli {
namespace {

constexpr const char* kHelpText = "Print this help";
constexpr const char* kGeneral = "General";

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, at);) parts.push_back(part);
  return parts;
}

OptionWords words_of(const CLI::App& app, const CLI::Option& option) {
  OptionWords words;
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

CommandWords words_of(const CLI::App& app, const std::string& path) {
  CommandWords words;
  words.path = path;
  words.name = app.get_name();
  words.text = app.get_description();
  words.details = app.get_footer();
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_group().empty()) words.options.push_back(words_of(app, *option));
  }
  // What is common to all commands stands last.
  std::stable_partition(words.options.begin(), words.options.end(),
                        [](const OptionWords& option) { return option.group != kGeneral; });
  for (const CLI::App* command : app.get_subcommands({})) {
    words.commands.push_back(words_of(*command, path + " " + command->get_name()));
  }
  return words;
}

}  // namespace

bool OptionWords::takes_files() const { return value.find("FILE") != std::string::npos; }

bool OptionWords::takes_folders() const { return value.find("FOLDER") != std::string::npos; }

std::vector<std::string> OptionWords::choices() const {
  std::vector<std::string> words;
  for (std::string word : split(value, '|')) {
    // "gamma=N" offers what can be typed as it is.
    if (const std::size_t equals = word.find('='); equals != std::string::npos) {
      word.resize(equals + 1);
    }
    if (!word.empty() && word.find_first_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ.") == std::string::npos) {
      words.push_back(word);
    }
  }
  return words;
}

CommandWords words_of(const CLI::App& app) { return words_of(app, app.get_name()); }

}  // namespace basefog::cli

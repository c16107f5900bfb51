// SPDX-License-Identifier: GPL-3.0-or-later
#include "manual/command_words.hpp"

#include <sstream>

namespace basefog::manual {
namespace {

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::istringstream in(text);
  for (std::string part; std::getline(in, part, at);) parts.push_back(part);
  return parts;
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

std::vector<std::string> option_names(const CommandWords& command) {
  std::vector<std::string> names;
  for (const OptionWords& option : command.options) {
    if (option.positional) continue;
    names.insert(names.end(), option.names.begin(), option.names.end());
  }
  return names;
}

std::vector<std::string> command_names(const CommandWords& command) {
  std::vector<std::string> names;
  for (const CommandWords& below : command.commands) names.push_back(below.name);
  return names;
}

}  // namespace basefog::manual

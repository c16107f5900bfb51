// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>

#include "manual/command_words.hpp"
#include "manual/text_blocks.hpp"

namespace basefog::manual {
namespace {

using Kind = TextBlock::Kind;

/// Where the explanations begin.
constexpr std::size_t kColumn = 30;

std::string usage(const CommandWords& command) {
  std::string text = "Usage: " + command.path;
  if (!command.commands.empty()) text += " COMMAND";
  for (const OptionWords& option : command.options) {
    const std::string name = option_entry(option).term;
    if (option.positional) text += option.required ? " " + name : " [" + name + "]";
  }
  for (const OptionWords& option : command.options) {
    if (!option.positional && option.required) {
      text += " " + option.names.front() + (option.value.empty() ? "" : " " + option.value);
    }
  }
  return text + " [options]";
}

std::string heading_of(const OptionWords& option) {
  return (option.positional ? "What to read" : option.group) + ":";
}

/// The options under their headings: arguments first, then the groups in the order of their first.
void put_options(TextBlocks& blocks, const CommandWords& command) {
  std::vector<std::string> headings;
  for (const bool positional : {true, false}) {
    for (const OptionWords& option : command.options) {
      const std::string heading = heading_of(option);
      const bool seen = std::ranges::find(headings, heading) != headings.end();
      if (option.positional == positional && !seen) headings.push_back(heading);
    }
  }
  for (const std::string& heading : headings) {
    blocks.push_back({.kind = Kind::heading, .text = heading});
    for (const OptionWords& option : command.options) {
      if (heading_of(option) == heading) blocks.push_back(option_entry(option));
    }
  }
}

}  // namespace

TextBlock option_entry(const OptionWords& option) {
  TextBlock entry{.kind = Kind::entry, .text = option.text};
  if (!option.preset.empty()) entry.text += " (default " + option.preset + ")";
  for (const std::string& name : option.names) {
    entry.term += (entry.term.empty() ? "" : ", ") + name;
  }
  if (option.positional && option.repeated) entry.term += "...";
  if (!option.positional) entry.value = option.value;
  return entry;
}

std::string help_text(const CommandWords& command) {
  TextBlocks blocks = {{.text = usage(command)}, {.text = command.text + "."}};
  if (!command.commands.empty()) {
    blocks.push_back({.kind = Kind::heading, .text = "Commands:"});
    for (const CommandWords& one : command.commands) {
      const std::string name = one.name + (one.commands.empty() ? "" : " ...");
      blocks.push_back({.kind = Kind::entry, .text = one.text, .term = name});
    }
  }
  put_options(blocks, command);
  const TextBlocks details = parse_blocks(command.details);
  blocks.insert(blocks.end(), details.begin(), details.end());
  return terminal_text(blocks, kColumn);
}

}  // namespace basefog::manual

// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <sstream>

#include "cli/command_words.hpp"

namespace basefog::cli {
namespace {

constexpr std::size_t kWidth = 80;
/// Where the explanations begin.
constexpr std::size_t kColumn = 30;

/// Words broken into lines that end before `width`; the first line begins at `column`, the others
/// are indented to it.
std::string broken(const std::string& text, std::size_t column, std::size_t width = kWidth) {
  std::string out;
  std::size_t at = column;
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    if (at > column && at + 1 + word.size() > width) {
      out += '\n' + std::string(column, ' ');
      at = column;
    }
    if (at > column) {
      out += ' ';
      ++at;
    }
    out += word;
    at += word.size();
  }
  return out;
}

/// A name and its explanation beside it, or below where the name is too long.
std::string entry(const std::string& name, const std::string& text) {
  std::string line = "  " + name;
  if (line.size() + 2 > kColumn) {
    line += '\n' + std::string(kColumn, ' ');
  } else {
    line += std::string(kColumn - line.size(), ' ');
  }
  return line + broken(text, kColumn) + '\n';
}

std::string name_of(const OptionWords& option) {
  std::string name;
  for (const std::string& one : option.names) name += (name.empty() ? "" : ", ") + one;
  if (option.positional) return option.repeated ? name + "..." : name;
  return option.value.empty() ? name : name + " " + option.value;
}

std::string explained(const OptionWords& option) {
  return option.text + (option.preset.empty() ? "" : " (default " + option.preset + ")");
}

/// Paragraphs are broken anew; lines that begin with a space are kept.
std::string paragraphs(const std::string& text) {
  std::string out;
  std::string paragraph;
  const auto flush = [&] {
    if (!paragraph.empty()) out += broken(paragraph, 0) + '\n';
    paragraph.clear();
  };
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line.front() == ' ') {
      flush();
      out += line + '\n';
    } else {
      paragraph += line + ' ';
    }
  }
  flush();
  return out;
}

std::string usage(const CommandWords& command) {
  std::string text = "Usage: " + command.path;
  if (!command.commands.empty()) text += " COMMAND";
  for (const OptionWords& option : command.options) {
    if (option.positional) text += " " + name_of(option);
  }
  for (const OptionWords& option : command.options) {
    if (!option.positional && option.required) text += " " + name_of(option);
  }
  return text + " [options]\n";
}

}  // namespace

std::string help_text(const CommandWords& command) {
  std::string out = usage(command) + '\n' + broken(command.text + ".", 0) + '\n';
  if (!command.commands.empty()) {
    out += "\nCommands:\n";
    for (const CommandWords& one : command.commands) {
      std::string name = one.name;
      if (!one.commands.empty()) name += " ...";
      out += entry(name, one.text);
    }
  }
  std::string group;
  const auto heading = [&](const std::string& next) {
    if (next != group) out += '\n' + next + ":\n";
    group = next;
  };
  for (const OptionWords& option : command.options) {
    if (!option.positional) continue;
    heading("What to read");
    out += entry(name_of(option), explained(option));
  }
  std::vector<std::string> groups;
  for (const OptionWords& option : command.options) {
    const bool seen = std::find(groups.begin(), groups.end(), option.group) != groups.end();
    if (!option.positional && !seen) groups.push_back(option.group);
  }
  for (const std::string& one : groups) {
    heading(one);
    for (const OptionWords& option : command.options) {
      if (!option.positional && option.group == one)
        out += entry(name_of(option), explained(option));
    }
  }
  if (!command.details.empty()) out += '\n' + paragraphs(command.details);
  return out;
}

}  // namespace basefog::cli

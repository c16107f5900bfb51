// SPDX-License-Identifier: GPL-3.0-or-later
#include "manual/text_blocks.hpp"

#include <sstream>

#include "report/markup.hpp"

namespace basefog::manual {
namespace {

using Kind = TextBlock::Kind;

/// Text in lines of at most 80 letters, indented to `column` but for the first, which begins there.
std::string broken(const std::string& text, std::size_t column) {
  constexpr int kWidth = 80;
  const std::string lines = report::wrap(text, kWidth, static_cast<int>(column));
  return lines.empty() ? "\n" : lines.substr(column);
}

/// A term and its explanation beside it, or below where the term is too long.
std::string entry_text(const TextBlock& entry, std::size_t column) {
  std::string line = "  " + entry.term + (entry.value.empty() ? "" : " " + entry.value);
  if (line.size() + 2 > column) {
    line += '\n' + std::string(column, ' ');
  } else {
    line += std::string(column - line.size(), ' ');
  }
  return line + broken(entry.text, column);
}

/// "* TERM | text" without its star.
TextBlock entry_of(const std::string& line) {
  const std::size_t bar = line.find(" | ");
  TextBlock entry{.kind = Kind::entry, .term = line.substr(0, bar)};
  if (bar != std::string::npos) entry.text = line.substr(bar + 3);
  return entry;
}

}  // namespace

TextBlocks parse_blocks(const std::string& text) {
  TextBlocks blocks;
  bool open = false;  // whether the last block goes on
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const bool in_entry = open && blocks.back().kind == Kind::entry;
    const bool indented = line.starts_with("  ") && !in_entry;
    if (line.find_first_not_of(' ') == std::string::npos) {
      open = false;
    } else if (line.starts_with("# ")) {
      blocks.push_back({.kind = Kind::heading, .text = line.substr(2)});
      open = false;
    } else if (line.starts_with("## ")) {
      blocks.push_back({.kind = Kind::subheading, .text = line.substr(3)});
      open = false;
    } else if (line.starts_with("* ")) {
      blocks.push_back(entry_of(line.substr(2)));
      open = true;
    } else if (open && indented == (blocks.back().kind == Kind::example)) {
      blocks.back().text += '\n' + line;
    } else {
      blocks.push_back({.kind = indented ? Kind::example : Kind::paragraph, .text = line});
      open = true;
    }
  }
  return blocks;
}

std::string terminal_text(const TextBlocks& blocks, std::size_t column) {
  std::string out;
  Kind last = Kind::heading;
  for (const TextBlock& block : blocks) {
    const bool heading = block.kind == Kind::heading || block.kind == Kind::subheading;
    const bool after_heading = last == Kind::heading || last == Kind::subheading;
    const bool in_list = block.kind == Kind::entry && last == Kind::entry;
    if (!out.empty() && !in_list && (heading || !after_heading)) out += '\n';
    if (block.kind == Kind::entry) {
      out += entry_text(block, column);
    } else if (block.kind == Kind::example) {
      out += block.text + '\n';
    } else {
      out += broken(block.text, 0);
    }
    last = block.kind;
  }
  return out;
}

}  // namespace basefog::manual

// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cctype>
#include <sstream>

#include "basefog/core/version.hpp"
#include "cli/command_words.hpp"

// The manual page in the man macros of roff, as man and mandoc read them.
namespace basefog::cli {
namespace {

/// Of the last change of the commands' words.
constexpr const char* kDate = "2026-11-25";

/// Text that roff prints as it is: no escapes, no requests, hyphens as typed.
std::string roff(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool begins = i == 0 || text[i - 1] == '\n';
    if (begins && (c == '.' || c == '\'')) out += "\\&";
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

/// The same, in lines of at most 78 letters: roff fills them anew.
std::string roff_lines(const std::string& text) {
  std::string out;
  std::size_t length = 0;
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    if (length > 0 && length + 1 + word.size() > 72) {
      out += '\n';
      length = 0;
    }
    if (length > 0) out += ' ';
    out += length == 0 ? roff(word) : roff(word).substr(word[0] == '.' || word[0] == '\'' ? 2 : 0);
    length += word.size() + 1;
  }
  return out;
}

std::string capitals(std::string text) {
  for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return text;
}

std::string tag(const OptionWords& option) {
  std::string out;
  for (const std::string& name : option.names) {
    out += (out.empty() ? "" : ", ") + ("\\fB" + roff(name) + "\\fR");
  }
  if (!option.positional && !option.value.empty()) out += " \\fI" + roff(option.value) + "\\fR";
  return out + (option.positional && option.repeated ? " ..." : "");
}

std::string synopsis(const CommandWords& command) {
  std::string out = "\\fB" + roff(command.path) + "\\fR";
  for (const OptionWords& option : command.options) {
    if (option.positional) {
      out += " \\fI" + roff(option.names[0]) + "\\fR" + (option.repeated ? " ..." : "");
    }
  }
  return out + " [\\fIoptions\\fR]";
}

/// Paragraphs divided by empty lines; lines that begin with spaces are an example, kept as it is.
void put_paragraphs(std::string& out, const std::string& text) {
  bool example = false;
  bool divided = false;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t begin = line.find_first_not_of(' ');
    if (begin == std::string::npos) {
      divided = true;
      continue;
    }
    if (example && begin == 0) out += ".RE\n.fi\n";
    if (divided || (begin > 0) != example) out += ".PP\n";
    if (!example && begin > 0) out += ".nf\n.RS\n";
    example = begin > 0;
    divided = false;
    out += (example ? roff(line.substr(begin)) : roff_lines(line)) + '\n';
  }
  if (example) out += ".RE\n.fi\n";
}

void put_option(std::string& out, const OptionWords& option) {
  const std::string preset = option.preset.empty() ? "" : " (default " + option.preset + ")";
  out += ".TP\n" + tag(option) + '\n' + roff_lines(option.text + preset + ".") + '\n';
}

void put_command(std::string& out, const CommandWords& command) {
  if (command.commands.empty()) {
    out += ".SS \"" + roff(command.path) + "\"\n" + synopsis(command) + "\n.PP\n";
    out += roff_lines(command.text + ".") + '\n';
    for (const OptionWords& option : command.options) {
      if (std::find(option.names.begin(), option.names.end(), "--help") != option.names.end()) {
        continue;
      }
      put_option(out, option);
    }
    // After a list of options, prose needs a paragraph of its own.
    if (!command.details.starts_with(' ') && !command.details.empty()) out += ".PP\n";
    put_paragraphs(out, command.details);
  }
  for (const CommandWords& below : command.commands) put_command(out, below);
}

}  // namespace

std::string manual_page(const CommandWords& program) {
  std::string out = ".TH " + capitals(program.name) + " 1 " + kDate + " \"" + program.name + " " +
                    kVersion + "\" \"User commands\"\n";
  std::string summary = program.text;
  summary[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(summary[0])));
  out += ".SH NAME\n" + roff(program.name) + " \\- " + roff_lines(summary) + "\n";
  out += ".SH SYNOPSIS\n\\fB" + roff(program.name) +
         "\\fR \\fIcommand\\fR [\\fIoptions\\fR]\n.br\n\\fB" + roff(program.name) +
         "\\fR \\fIcommand\\fR \\fB\\-\\-help\\fR\n";
  out += ".SH DESCRIPTION\n";
  put_paragraphs(out, program.details);
  out += ".SH COMMANDS\n";
  for (const CommandWords& command : program.commands) put_command(out, command);
  out += ".SH OPTIONS\n";
  for (const OptionWords& option : program.options) put_option(out, option);
  out +=
      ".SH EXIT STATUS\n.TP\n.B 0\nAll frames were measured; a blank frame counts as dealt with.\n"
      ".TP\n.B 1\nSome frames could not be measured.\n"
      ".TP\n.B 2\nThe command could not be carried out as given.\n"
      ".TP\n.B 3\nNothing could be measured.\n"
      ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nWhen set and not empty, no colour is printed.\n"
      ".SH CAUTION\nScans are never written to, moved or renamed.\n"
      "Keep your negatives: no program replaces the film.\n";
  return out;
}

}  // namespace basefog::cli

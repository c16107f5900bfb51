// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "manual/text_blocks.hpp"

// The command line as plain words: what help, manual and completion are all made from.
namespace basefog::manual {

/// An option, or an argument that stands by its place.
struct OptionWords {
  std::vector<std::string> names;  ///< "--out", "-h"; of an argument its one name: "SCANS"
  std::string value;               ///< "FILE", "bw|colour|FILE", "N"; empty for a switch
  std::string text;                ///< a sentence without a final stop
  std::string preset;              ///< value when it is not given; may be empty
  std::string group;               ///< heading in the help
  bool positional = false;
  bool required = false;
  bool repeated = false;

  bool takes_files() const;    ///< the value may be the name of a file
  bool takes_folders() const;  ///< the value may be the name of a folder
  /// Fixed words that the value may be.
  std::vector<std::string> choices() const;
};

struct CommandWords {
  std::string path;     ///< "basefog review"
  std::string name;     ///< "review"
  std::string text;     ///< a sentence without a final stop
  std::string details;  ///< paragraphs divided by empty lines; lines that begin with spaces stay
  std::vector<OptionWords> options;
  std::vector<CommandWords> commands;
};

/// "--out", "-h" of all its options.
std::vector<std::string> option_names(const CommandWords& command);

/// Of the commands right below it.
std::vector<std::string> command_names(const CommandWords& command);

/// An option and what it does, for help and manual.
TextBlock option_entry(const OptionWords& option);

/// What `--help` prints, at most 80 columns wide.
std::string help_text(const CommandWords& command);

enum class Shell { bash, zsh, fish };
/// A script that completes commands, options, choices and file names in a shell.
std::string completion_script(const CommandWords& program, Shell shell);

}  // namespace basefog::manual

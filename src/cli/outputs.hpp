// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <ostream>
#include <vector>

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace basefog::cli {

/// Where results go. "-" and /dev/stdout are standard output.
struct Outputs {
  std::optional<std::filesystem::path>
      folder;  ///< all of them: report.html, review.json, frames.csv, match.csv
  std::optional<std::filesystem::path> json;
  std::optional<std::filesystem::path> csv;
  std::optional<std::filesystem::path> html;

  bool any() const { return folder || json || csv || html; }
  bool to_stdout() const;
  /// The files that will be written, without standard output.
  std::vector<std::filesystem::path> files() const;
};

/// What a command was given to read.
struct Inputs {
  /// Scans and folders of them: no output lies in such a folder or in one within it, nor beside a
  /// scan that was named by itself.
  std::vector<std::filesystem::path> scans;
  /// Logs, cameras, films and the like: outputs may lie beside them, but none takes their place.
  std::vector<std::filesystem::path> files;
};

/// The one rule for what may be written, asked before any work is done: Inputs stay as they are,
/// links followed, and the folder can be written to. Streams (is_stream) are taken as they are.
/// Throws InputError (usage, not_writable).
void check_outputs(const std::vector<std::filesystem::path>& outputs, const Inputs& inputs);

/// The part of that rule about inputs: for files that may be unreachable without harm to the rest.
void check_not_an_input(const std::filesystem::path& output, const Inputs& inputs);

/// "-": standard input among inputs, standard output among outputs.
bool is_standard_stream(const std::filesystem::path& path);
/// "-" and /dev/stdout.
bool is_stdout(const std::filesystem::path& path);

/// Writes what `writer` makes to a file, whole or not at all, to a stream as it stands, or to
/// standard output for "-".
void write_output(const std::filesystem::path& path,
                  const std::function<void(std::ostream&)>& writer);

/// Writes JSON where it was asked for, and the table on standard output unless the JSON goes there.
void write_answer(const std::optional<std::filesystem::path>& json,
                  const std::function<void(std::ostream&)>& json_writer,
                  const std::function<void(std::ostream&)>& table_writer);

/// Adds --json to a command; `json` must live as long as the command.
CLI::Option* add_json_option(CLI::App& command, std::optional<std::filesystem::path>& json);

}  // namespace basefog::cli

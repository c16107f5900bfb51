// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <ostream>
#include <vector>

namespace basefog::cli {

/// Where results go. "-" and /dev/stdout are standard output.
struct Outputs {
  std::optional<std::filesystem::path>
      folder;  ///< all of them: report.html, review.json, frames.csv, match.csv
  std::optional<std::filesystem::path> json;
  std::optional<std::filesystem::path> csv;
  std::optional<std::filesystem::path> html;

  bool to_stdout() const;
  /// The files that will be written, without standard output.
  std::vector<std::filesystem::path> files() const;
};

/// Refuses outputs before any work is done: those that would lie beside an input or anywhere within
/// a folder of inputs, links followed, and those that cannot be written. Streams (is_stream) are
/// taken as they are.
/// Throws InputError (usage, not_writable).
void check_outputs(const Outputs& outputs, const std::vector<std::filesystem::path>& inputs);

/// The same for files by name.
void check_output_files(const std::vector<std::filesystem::path>& files,
                        const std::vector<std::filesystem::path>& inputs);

/// Refuses an output that is one of the inputs or lies in a folder of them. Throws InputError
/// (usage).
void check_not_an_input(const std::filesystem::path& output,
                        const std::vector<std::filesystem::path>& inputs);

/// Writes what `writer` makes to a file, whole or not at all, to a stream as it stands, or to
/// standard output for "-".
void write_output(const std::filesystem::path& path,
                  const std::function<void(std::ostream&)>& writer);

}  // namespace basefog::cli

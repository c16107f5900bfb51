// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/outputs.hpp"

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <iostream>
#include <sstream>
#include <system_error>

#include "basefog/core/error.hpp"
#include "cli/terminal.hpp"
#include "core/whole_file.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

fs::path whole_path(const fs::path& path) {
  std::error_code error;
  return fs::weakly_canonical(fs::absolute(path, error), error);
}

/// True where `file` (a whole path) would lie in `folder` or in a folder within it.
bool lies_within(const fs::path& file, const fs::path& folder) {
  return std::mismatch(folder.begin(), folder.end(), file.begin(), file.end()).first ==
         folder.end();
}

/// True where `file` (a whole path) would lie beside an input, or anywhere within one that is a
/// folder.
bool lies_among(const fs::path& file, const fs::path& input) {
  std::error_code error;
  const fs::path there = whole_path(input);
  return fs::is_directory(there, error) ? lies_within(file, there)
                                        : file.parent_path() == there.parent_path();
}

/// The nearest folder of a path that exists.
fs::path existing_folder(fs::path folder) {
  std::error_code error;
  while (folder.has_parent_path() && !fs::exists(folder, error)) folder = folder.parent_path();
  return folder;
}

}  // namespace

bool is_standard_stream(const fs::path& path) { return path == "-"; }

bool is_stdout(const fs::path& path) { return is_standard_stream(path) || path == "/dev/stdout"; }

bool Outputs::to_stdout() const {
  return std::ranges::any_of(std::array{json, csv, html},
                             [](const auto& file) { return file && is_stdout(*file); });
}

std::vector<fs::path> Outputs::files() const {
  std::vector<fs::path> files;
  for (const auto& file : {json, csv, html}) {
    if (file && !is_stdout(*file)) files.push_back(*file);
  }
  if (folder) {
    for (const char* name : {"report.html", "review.json", "frames.csv"}) {
      files.push_back(*folder / name);
    }
  }
  return files;
}

void check_not_an_input(const fs::path& output, const Inputs& inputs) {
  std::error_code error;
  const fs::path whole = whole_path(output);
  for (const std::vector<fs::path>* some : {&inputs.scans, &inputs.files}) {
    for (const fs::path& input : *some) {
      if (!is_standard_stream(input) && whole == whole_path(input)) {
        throw InputError(ErrorCode::usage, output, "is one of the inputs", "name another file");
      }
    }
  }
  for (const fs::path& scan : inputs.scans) {
    if (!lies_among(whole, scan)) continue;
    throw InputError(ErrorCode::usage, output,
                     (fs::is_directory(scan, error) ? "lies within " : "would be written beside ") +
                         scan.string(),
                     "name another folder, for nothing is ever written among the scans");
  }
}

void check_outputs(const std::vector<fs::path>& outputs, const Inputs& inputs) {
  for (const fs::path& file : outputs) {
    if (file.empty()) {
      throw InputError(ErrorCode::usage, "an output", "was given without a name",
                       "name a file, or leave the option out");
    }
    if (is_stdout(file) || is_stream(file)) continue;
    check_not_an_input(file, inputs);
    std::error_code error;
    const fs::path whole = whole_path(file);
    if (fs::is_directory(whole, error)) {
      throw InputError(ErrorCode::usage, file, "is a folder", "name a file");
    }
    const fs::path folder = existing_folder(whole.parent_path());
    if (!fs::is_directory(folder, error) || ::access(folder.c_str(), W_OK | X_OK) != 0) {
      throw InputError(ErrorCode::not_writable, file, "cannot be written there",
                       "name a folder that can be written to");
    }
  }
}

void write_output(const fs::path& path, const std::function<void(std::ostream&)>& writer) {
  if (is_stdout(path)) {
    writer(std::cout);
    check_stdout();
    return;
  }
  std::ostringstream content;
  writer(content);
  write_whole_file(path, content.view());
}

void write_answer(const std::optional<fs::path>& json,
                  const std::function<void(std::ostream&)>& json_writer,
                  const std::function<void(std::ostream&)>& table_writer) {
  if (json) write_output(*json, json_writer);
  if (!json || !is_stdout(*json)) table_writer(std::cout);
}

CLI::Option* add_json_option(CLI::App& command, std::optional<fs::path>& json) {
  return command.add_option("--json", json, "Write JSON; - for standard output")->type_name("FILE");
}

}  // namespace basefog::cli

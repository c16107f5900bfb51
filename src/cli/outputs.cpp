// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/outputs.hpp"

#include <unistd.h>

#include <algorithm>
#include <iostream>
#include <sstream>
#include <system_error>

#include "basefog/core/error.hpp"
#include "cli/terminal.hpp"
#include "core/whole_file.hpp"

namespace basefog::cli {
namespace fs = std::filesystem;
namespace {

const fs::path kStdout = "-";

/// The folder that must not be written into: the input itself, or the folder that it lies in.
fs::path folder_of(const fs::path& input) {
  std::error_code error;
  const fs::path whole = fs::weakly_canonical(fs::absolute(input, error), error);
  return fs::is_directory(whole, error) ? whole : whole.parent_path();
}

/// The nearest folder of a path that exists.
fs::path existing_folder(fs::path folder) {
  std::error_code error;
  while (folder.has_parent_path() && !fs::exists(folder, error)) folder = folder.parent_path();
  return folder;
}

}  // namespace

bool Outputs::to_stdout() const { return json == kStdout || csv == kStdout || html == kStdout; }

std::vector<fs::path> Outputs::files() const {
  std::vector<fs::path> files;
  for (const auto& file : {json, csv, html}) {
    if (file && *file != kStdout) files.push_back(*file);
  }
  if (folder) {
    for (const char* name : {"report.html", "review.json", "frames.csv"}) {
      files.push_back(*folder / name);
    }
  }
  return files;
}

void check_outputs(const Outputs& outputs, const std::vector<fs::path>& inputs) {
  check_output_files(outputs.files(), inputs);
}

void check_output_files(const std::vector<fs::path>& files, const std::vector<fs::path>& inputs) {
  for (const fs::path& file : files) {
    if (file.empty()) {
      throw InputError(ErrorCode::usage, "an output", "was given without a name",
                       "name a file, or leave the option out");
    }
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(fs::absolute(file, error), error);
    for (const fs::path& input : inputs) {
      if (whole.parent_path() == folder_of(input)) {
        throw InputError(ErrorCode::usage, file, "would be written beside " + input.string(),
                         "name another folder, for nothing is ever written among the inputs");
      }
    }
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

void check_not_an_input(const fs::path& output, const std::vector<fs::path>& inputs) {
  std::error_code error;
  const fs::path whole = fs::weakly_canonical(fs::absolute(output, error), error);
  for (const fs::path& input : inputs) {
    const fs::path there = fs::weakly_canonical(fs::absolute(input, error), error);
    if (whole == there) {
      throw InputError(ErrorCode::usage, output, "is one of the inputs", "name another file");
    }
    const auto [end, ignored] =
        std::mismatch(there.begin(), there.end(), whole.begin(), whole.end());
    if (fs::is_directory(there, error) && end == there.end()) {
      throw InputError(ErrorCode::usage, output, "would lie among the scans",
                       "name a file in another folder");
    }
  }
}

void write_output(const fs::path& path, const std::function<void(std::ostream&)>& writer) {
  if (path == kStdout) {
    writer(std::cout);
    check_stdout();
    return;
  }
  std::ostringstream content;
  writer(content);
  write_whole_file(path, content.view());
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstddef>
#include <filesystem>
#include <string>

namespace basefog::cli {

/// A file's name without control characters, which must not reach a terminal.
std::string printable_name(const std::filesystem::path& file);

/// "1 min 20 s left"; empty until enough is done to estimate it, and at the end.
std::string time_left(double seconds_so_far, std::size_t done, std::size_t total);

/// How far reading has come, on stderr: one line that is rewritten on a terminal, with the time
/// left; otherwise a line every tenth of the way, or every file where `verbose`.
class Progress {
 public:
  explicit Progress(bool quiet, bool verbose = false);
  void operator()(std::size_t done, std::size_t total, const std::filesystem::path& file);

 private:
  bool quiet_;
  bool verbose_;
  int columns_;  ///< of the terminal; 0 where no line can be rewritten
  std::chrono::steady_clock::time_point start_;
};

}  // namespace basefog::cli

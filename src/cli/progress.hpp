// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstddef>
#include <filesystem>

namespace basefog::cli {

/// How far reading has come, on stderr: one line that is rewritten on a terminal, with the time
/// left; otherwise a line every tenth of the way.
class Progress {
 public:
  explicit Progress(bool quiet);
  void operator()(std::size_t done, std::size_t total, const std::filesystem::path& file);

 private:
  bool quiet_;
  bool terminal_;
  std::chrono::steady_clock::time_point start_;
};

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/progress.hpp"

#include <unistd.h>

#include <cmath>
#include <cstdio>
#include <string>

namespace basefog::cli {
namespace {

/// "1 min 20 s left"; empty until enough is done to tell.
std::string time_left(double seconds_so_far, std::size_t done, std::size_t total) {
  if (seconds_so_far < 2 || done == total) return "";
  const auto left =
      std::lround(seconds_so_far / static_cast<double>(done) * static_cast<double>(total - done));
  const std::string minutes = left >= 60 ? std::to_string(left / 60) + " min " : "";
  return ", " + minutes + std::to_string(left % 60) + " s left";
}

/// A file name may hold anything; control characters must not reach a terminal.
std::string printable(const std::filesystem::path& file) {
  std::string name = file.filename().string();
  for (char& c : name) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  }
  return name;
}

}  // namespace

Progress::Progress(bool quiet)
    : quiet_(quiet),
      terminal_(::isatty(STDERR_FILENO) != 0),
      start_(std::chrono::steady_clock::now()) {}

void Progress::operator()(std::size_t done, std::size_t total, const std::filesystem::path& file) {
  if (quiet_) return;
  const std::chrono::duration<double> so_far = std::chrono::steady_clock::now() - start_;
  if (terminal_) {
    std::fprintf(stderr, "\r\033[Kread %zu of %zu: %s%s", done, total, printable(file).c_str(),
                 time_left(so_far.count(), done, total).c_str());
    if (done == total) std::fprintf(stderr, "\r\033[K");
    std::fflush(stderr);
  } else if (done == total || done * 10 / total != (done - 1) * 10 / total) {
    std::fprintf(stderr, "basefog: read %zu of %zu scans\n", done, total);
  }
}

}  // namespace basefog::cli

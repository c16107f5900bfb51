// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/progress.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "cli/terminal.hpp"
#include "report/markup.hpp"

namespace basefog::cli {

std::string printable_name(const std::filesystem::path& file) {
  return report::printable(file.filename().string());
}

std::string time_left(double seconds_so_far, std::size_t done, std::size_t total) {
  if (seconds_so_far < 2 || done == 0 || done >= total) return "";
  const auto left =
      std::lround(seconds_so_far / static_cast<double>(done) * static_cast<double>(total - done));
  const std::string minutes = left >= 60 ? std::to_string(left / 60) + " min " : "";
  return minutes + std::to_string(left % 60) + " s left";
}

Progress::Progress(bool quiet, bool verbose)
    : quiet_(quiet),
      verbose_(verbose),
      columns_(understands_escapes() ? terminal_columns(STDERR_FILENO) : 0),
      start_(std::chrono::steady_clock::now()) {}

void Progress::operator()(std::size_t done, std::size_t total, const std::filesystem::path& file) {
  if (quiet_) return;
  const std::chrono::duration<double> so_far = std::chrono::steady_clock::now() - start_;
  if (columns_ > 0 && !verbose_) {
    std::string line = "read " + std::to_string(done) + " of " + std::to_string(total);
    if (const std::string left = time_left(so_far.count(), done, total); !left.empty()) {
      line += ", " + left;
    }
    // The last column stays free, so that the line never breaks.
    const int room = columns_ - 1 - static_cast<int>(line.size()) - 2;
    if (room > 8) line += ": " + report::cut_middle(printable_name(file), room);
    std::fprintf(stderr, "\r\033[K%s", line.c_str());
    if (done == total) std::fprintf(stderr, "\r\033[K");
    std::fflush(stderr);
  } else if (verbose_) {
    std::fprintf(stderr, "basefog: read %zu of %zu: %s\n", done, total,
                 printable_name(file).c_str());
  } else if (done == total || done * 10 / total != (done - 1) * 10 / total) {
    std::fprintf(stderr, "basefog: read %zu of %zu scans\n", done, total);
  }
}

}  // namespace basefog::cli

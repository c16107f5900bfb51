// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a log and prints what each row asked for.
#include "basefog/log/log.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const log::ShotLog log = log::read_shot_log(std::filesystem::path(argv[1]) / "log.csv");
  for (const log::LogRow& row : log.rows) {
    const auto expected = log::expected_exposure(row, FilmSpeed(400));
    std::printf("frame %s asked for %+.1f\n", row.frame.c_str(), expected ? expected->value() : 0);
  }
  return log.rows.size() == 12 ? 0 : 1;
}

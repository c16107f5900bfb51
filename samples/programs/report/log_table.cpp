// SPDX-License-Identifier: GPL-3.0-or-later
// How each row of a log was understood.
#include "basefog/report/log_table.hpp"

#include <iostream>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const log::ShotLog log = log::read_shot_log(std::filesystem::path(argv[1]) / "log.csv");
  report::write_log_table(std::cout, log);
  return log.rows.empty() ? 1 : 0;
}

// SPDX-License-Identifier: GPL-3.0-or-later
// A whole roll in one call, printed as the program prints it.
#include "basefog/roll/analysis.hpp"

#include <iostream>

#include "basefog/report/report.hpp"

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  roll::ReviewOptions options;
  options.log = std::filesystem::path(argv[1]) / "log.csv";
  options.film_speed = FilmSpeed(400);
  const roll::Analysis analysis = roll::review({argv[1]}, options);
  report::write_table(std::cout, analysis);
  return analysis.meter && analysis.meter->bias ? 0 : 1;
}

// SPDX-License-Identifier: GPL-3.0-or-later
// A blank log, as a file to fill in.
#include "basefog/print/logsheet.hpp"

#include <iostream>

using namespace basefog;

int main() {
  print::LogsheetOptions sheet;
  sheet.frames = 12;
  sheet.film_speed = FilmSpeed(100);
  print::write_logsheet_csv(std::cout, log::default_camera(), sheet);
  return print::logsheet_pages(sheet) == 1 ? 0 : 1;
}

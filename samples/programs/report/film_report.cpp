// SPDX-License-Identifier: GPL-3.0-or-later
// A film in words and as a drawing.
#include "basefog/report/film_report.hpp"

#include <iostream>

using namespace basefog;

int main() {
  const film::FilmProfile film = film::generic_colour_negative(FilmSpeed(200));
  report::write_film(std::cout, film);
  const std::string drawing = report::film_plot(film);
  std::cout << "a drawing of " << drawing.size() << " bytes\n";
  return drawing.find("<svg") != std::string::npos ? 0 : 1;
}

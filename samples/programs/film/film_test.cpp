// SPDX-License-Identifier: GPL-3.0-or-later
// A film test: nine exposures a stop apart of a grey card, as a densitometer read them.
#include "basefog/film/film_test.hpp"

#include <cstdio>

#include "basefog/core/units.hpp"
#include "basefog/report/film_report.hpp"

using namespace basefog;

int main() {
  film::FilmTestSeries series;
  series.name = "grey card";
  series.layers = {"silver"};
  series.base = {0.28};
  series.base_sigma = {0.005};
  series.absolute = true;
  const double readings[] = {0.32, 0.38, 0.49, 0.64, 0.82, 1.01, 1.20, 1.39, 1.58};
  double log_h = -2.6;
  for (const double density : readings) {
    series.steps.push_back({"", log_h, {density}, {0.005}});
    log_h += kLog10PerStop;
  }
  const film::FilmTest test = film::calibrate_film(series, FilmKind::black_and_white);
  std::printf("average gradient %.2f\n", test.layers.at(0).average_gradient.value);
  return test.speed && test.profile.speed_measured ? 0 : 1;
}

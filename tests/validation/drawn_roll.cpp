// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/drawn_roll.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "basefog/film/film_test.hpp"
#include "basefog/response/response.hpp"

namespace validation {
namespace {

constexpr double kStop = 0.30102999566398120;

basefog::FilmKind kind_of(bool colour) {
  return colour ? basefog::FilmKind::colour_negative : basefog::FilmKind::black_and_white;
}

/// Shares between 0 and 1 that fill it evenly however many rolls there are (multiples of an
/// irrational number, less their whole part), so that some tens of rolls have the spread they are
/// meant to have.
double even_share(int number, double irrational) {
  const double place = 0.5 + number * irrational;
  return place - std::floor(place);
}

/// By bisection.
double normal_quantile(double share) {
  double low = -5;
  double high = 5;
  for (int i = 0; i < 50; ++i) {
    const double middle = (low + high) / 2;
    (std::erfc(-middle / std::numbers::sqrt2) / 2 < share ? low : high) = middle;
  }
  return low;
}

constexpr double kContrastSigma = 0.10;  ///< spread of development over all films and people
/// One roll of a film against the next: at home and in a lab, ln of the contrast; speed in stops.
constexpr double kHomeWander = 0.05;
constexpr double kLabSigma = 0.03;
constexpr double kSpeedWander = 0.1;

}  // namespace

basefog::response::Response stated_response(const Stratum& stratum) {
  return basefog::response::parse_response(stratum.jpeg ? "srgb" : "linear");
}

namespace {

/// A film by its own sheets all the way; beyond them its line goes on to where no published
/// shoulder lies nearer than. Colour is developed by a lab, within 3 %. Speeds are off as those of
/// sheets that state absolute exposure.
simulator::Film film_by_sheet(const Stratum& stratum, Roll& roll, Draw& draw, Draw& of_roll) {
  const simulator::FilmKind kind =
      stratum.colour ? simulator::FilmKind::colour_negative : simulator::FilmKind::black_and_white;
  simulator::FilmRecipe recipe;
  recipe.iso = roll.iso;
  recipe.granularity = draw.uniform(6, 18);
  recipe.speed_error_stops = draw.normal(0.0, 0.2);
  if (stratum.rolls_of_film > 1) recipe.speed_error_stops += of_roll.normal(0.0, kSpeedWander);
  recipe.shoulder_from_stops = draw.uniform(9, 12);
  recipe.shoulder_fold = draw.uniform(0.3, 0.8);
  recipe.straight_beyond_table = true;
  const std::vector<std::string> names = simulator::published_families(kind);
  const std::size_t which = draw.index(names.size() + (stratum.colour ? 0 : 1));
  if (stratum.colour) roll.contrast = 1 + (roll.contrast - 1) * kLabSigma / kContrastSigma;
  if (stratum.rolls_of_film > 1) {
    roll.contrast *= std::exp(of_roll.normal(0.0, stratum.colour ? kLabSigma : kHomeWander));
  }
  if (stratum.colour) {
    recipe.contrast = roll.contrast;
    return simulator::published_film(recipe, names.at(which));
  }
  recipe.rise = 0.80 * roll.contrast;
  recipe.base = {draw.uniform(0.18, 0.35)};
  return which < names.size() ? simulator::published_film(recipe, names[which])
                              : simulator::black_and_white_film(recipe);
}

}  // namespace

Roll draw_roll(const Stratum& stratum, int number, Draw& of_film, Draw& draw) {
  Roll roll;
  const int film = number / stratum.rolls_of_film;
  roll.contrast = 1 + kContrastSigma * normal_quantile(even_share(film, std::numbers::phi));
  roll.film = film_by_sheet(stratum, roll, of_film, draw);
  simulator::Scanner& scanner = roll.scanner;
  scanner.pixel_mm = 0.05;
  scanner.channels = stratum.colour ? 3 : 1;
  scanner.flare = draw.uniform(0.001, 0.006);
  scanner.read_noise = std::exp2(draw.uniform(-14, -12));
  scanner.fall_off = draw.uniform(0, 0.03);
  scanner.lean = draw.normal(0, 0.01);
  if (stratum.jpeg) {
    scanner.bits = 8;
    scanner.encoding = simulator::Encoding::srgb;
  }
  // Stated responses are not quite what they say.
  scanner.response_exponent = 1 + basefog::response::kStatedResponseSigma *
                                      normal_quantile(even_share(number, std::numbers::sqrt2));
  const double clear = draw.uniform(0.75, 0.95);  // of full scale, by clear film
  scanner.gain.clear();
  for (double base : roll.film.base) scanner.gain.push_back(clear * std::pow(10, base));
  roll.meter.pattern =
      draw.chance(0.5) ? simulator::Pattern::average : simulator::Pattern::centre_weighted;
  roll.meter.bias_stops = draw.normal(0, 0.5);
  return roll;
}

namespace {

/// A film test of the very film with the camera's own shutter: thirteen exposures of an even
/// subject a stop apart, each off by what shutters repeat to, densities read off scans by the same
/// scanner.
basefog::film::FilmProfile tested_profile(const Stratum& stratum, const Roll& roll, Draw& draw) {
  constexpr double kShutterRepeats = 0.05;  // stops
  constexpr double kDensityRead = 0.003;
  basefog::film::FilmTestSeries series;
  series.layers = stratum.colour ? std::vector<std::string>{"red", "green", "blue"}
                                 : std::vector<std::string>{"silver"};
  series.exposure_sigma_stops = kShutterRepeats;
  series.absolute = true;
  series.measured_through = name_of(stated_response(stratum).source);
  series.base.assign(series.layers.size(), 0.0);
  series.base_sigma.assign(series.layers.size(), kDensityRead);
  for (int stops = -2; stops <= 10; ++stops) {
    basefog::film::FilmTestStep step;
    step.name = std::to_string(stops);
    step.log_h = roll.film.speed_point() + stops * kStop;
    const double given = step.log_h + draw.normal(0, kShutterRepeats) * kStop;
    for (const simulator::LayerCurve& layer : roll.film.layers) {
      step.density.push_back(layer.net_density(given) * roll.scanner.response_exponent +
                             draw.normal(0, kDensityRead));
      step.sigma.push_back(kDensityRead);
    }
    series.steps.push_back(std::move(step));
  }
  return basefog::film::calibrate_film(series, kind_of(stratum.colour)).profile;
}

/// The film's own curve as the scanner shows it.
basefog::film::FilmProfile true_profile(const Roll& roll, basefog::film::FilmProfile film) {
  for (std::size_t i = 0; i < film.layers.size(); ++i) {
    std::vector<basefog::film::CurvePoint> points;
    for (double stops = -4; stops <= 16; stops += 0.125) {
      const double density =
          roll.film.layers[i].net_density(roll.film.speed_point() + stops * kStop);
      points.push_back(
          {basefog::Stops(stops), basefog::NetDensity(density * roll.scanner.response_exponent)});
    }
    film.layers[i].curve = basefog::film::CharacteristicCurve::from_points(points);
  }
  film.toe_sigma_stops = film.shoulder_sigma_stops = film.upper_gradient_sigma = 0.01;
  return film;
}

}  // namespace

basefog::film::FilmProfile profile_for(const Stratum& stratum, const Roll& roll, const Told& told,
                                       Draw& draw) {
  const basefog::FilmSpeed speed(roll.iso);
  basefog::film::FilmProfile film = stratum.film_test ? tested_profile(stratum, roll, draw)
                                    : stratum.colour
                                        ? basefog::film::generic_colour_negative(speed)
                                        : basefog::film::generic_black_and_white(speed);
  if (told.form) {
    film = true_profile(roll, std::move(film));
    film.measured_through = name_of(stated_response(stratum).source);
    if (!told.contrast) film = film.with_contrast(1 / roll.contrast);
  } else if (told.contrast) {
    film = film.with_contrast(roll.contrast);
  }
  if (told.contrast) film.contrast_relative_sigma = 1e-3;
  return film;
}

Picture draw_picture(const Roll& roll, Draw& draw) {
  Picture picture;
  picture.camera.exposure_index = roll.iso;
  picture.camera.meter = roll.meter;
  picture.camera.lens.vignetting = draw.uniform(0.2, 1.0);
  picture.camera.lens.veiling_glare = draw.uniform(0.003, 0.03);
  picture.view = {.yaw = draw.uniform(-180, 180),
                  .pitch = draw.normal(0, 12),
                  .roll = draw.normal(0, 2),
                  .field_of_view = draw.uniform(25, 75)};
  return picture;
}

simulator::Shot draw_shot(const Scene& scene, const Roll& roll, Draw& draw) {
  const Picture picture = draw_picture(roll, draw);
  simulator::Wish wish;
  wish.mode = simulator::Mode::aperture_priority;
  wish.aperture = "5.6";
  wish.scatter_stops = draw.normal(0, 0.3);
  // Most frames are exposed as metered; some are far off, as on any roll.
  if (draw.chance(0.25)) wish.compensation = draw.uniform(-3, 3);
  // The view at EV 10 keeps every shot within the shutter's times. A panorama at EV 10 as a whole
  // does not: views of its lamps got up to 7 stops more than their log said.
  return simulator::take(simulator::lit(scene.panorama, picture.view, 10), picture.view, {720, 480},
                         picture.camera, wish);
}

simulator::Shot draw_bracket_shot(const Bracket& bracket, int frame, Draw& draw) {
  constexpr double kShutterRepeats = 0.08;
  simulator::Wish wish;
  wish.mode = simulator::Mode::aperture_priority;
  wish.aperture = "5.6";
  wish.compensation = kBracketStep * (frame - 1);
  wish.scatter_stops = draw.normal(0, kShutterRepeats);
  return simulator::take(simulator::lit(bracket.scene->panorama, bracket.picture.view, 10),
                         bracket.picture.view, {720, 480}, bracket.picture.camera, wish);
}

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/grey_card_study.hpp"

#include <array>
#include <cmath>
#include <fstream>

#include "basefog/core/error.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/film_test_frames.hpp"
#include "simulator/camera.hpp"
#include "simulator/scan_file.hpp"
#include "validation/draws.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

constexpr double kIso = 400;
constexpr std::array<const char*, 9> kShutter = {"1/1000", "1/500", "1/250", "1/125", "1/60",
                                                 "1/30",   "1/15",  "1/8",   "1/4"};
constexpr int kMiddle = 4;  ///< the metered frame

simulator::Film draw_film(bool colour, Draw& draw) {
  simulator::FilmRecipe recipe;
  recipe.iso = kIso;
  recipe.speed_error_stops = draw.normal(0, 0.3);
  recipe.granularity = draw.uniform(6, 18);
  recipe.toe_length = draw.uniform(0, colour ? 0.03 : 0.06);
  recipe.shoulder_from_stops = colour ? draw.uniform(8, 11) : draw.uniform(6, 9);
  recipe.shoulder_fold = draw.uniform(0.4, 1.5);
  if (colour) {
    recipe.contrast = draw.uniform(0.8, 1.2);
    constexpr std::array<const char*, 3> kTables = {"100", "160", "400"};
    return simulator::colour_film(recipe, kTables.at(draw.index(3)));
  }
  recipe.rise = draw.uniform(0.62, 0.98);
  recipe.base = {draw.uniform(0.18, 0.35)};
  return simulator::black_and_white_film(recipe);
}

simulator::Scanner draw_scanner(const simulator::Film& film, Draw& draw) {
  simulator::Scanner scanner;
  scanner.channels = static_cast<int>(film.layers.size());
  scanner.flare = draw.uniform(0.001, 0.004);
  scanner.read_noise = std::exp2(draw.uniform(-14, -12));
  scanner.fall_off = draw.uniform(0, 0.03);
  const double clear = draw.uniform(0.75, 0.95);  // of full scale, by clear film
  scanner.gain.clear();
  for (double base : film.base) scanner.gain.push_back(clear * std::pow(10, base));
  return scanner;
}

/// A card as bright as makes the meter ask for the middle shutter time at f/8.
simulator::Panorama card_for(const simulator::Camera& camera, const simulator::View& view,
                             cv::Size size) {
  const simulator::Wish wish{
      .mode = simulator::Mode::set, .aperture = "8", .shutter = kShutter[kMiddle]};
  const simulator::Shot shot =
      simulator::take(simulator::uniform_panorama(1), view, size, camera, wish);
  return simulator::uniform_panorama(std::exp2(-shot.asked_stops));
}

double layer_speed_point(const simulator::Film& film, std::size_t layer) {
  return film.layers.at(layer).log_h(film.kind == simulator::FilmKind::black_and_white ? 0.10
                                                                                       : 0.15);
}

}  // namespace

double true_gradient(const simulator::Film& film, std::size_t layer) {
  constexpr double kTriangle = 1.30;  // [ISO6]
  const double from = layer_speed_point(film, layer);
  const simulator::LayerCurve& curve = film.layers.at(layer);
  return (curve.net_density(from + kTriangle) - curve.net_density(from)) / kTriangle;
}

GreyCardRoll photograph_grey_card(const GreyCardStudy& study, int roll, const fs::path& folder) {
  Draw draw(simulator::Noise(study.seed).fork(static_cast<std::uint64_t>(roll)));
  GreyCardRoll result;
  result.film = draw_film(study.colour, draw);
  simulator::Scanner scanner = draw_scanner(result.film, draw);
  scanner.pixel_mm = study.pixel_mm;
  simulator::Camera camera;
  camera.exposure_index = kIso;
  camera.lens.vignetting = draw.uniform(0.2, 0.8);
  camera.lens.veiling_glare = draw.uniform(0.003, 0.02);
  result.meter_bias = study.trusted ? 0 : draw.normal(0, 0.5);
  camera.meter.bias_stops = result.meter_bias;
  // A hand-held meter is held to the card itself, the camera's sees the darker corners too.
  camera.meter.pattern =
      study.trusted ? simulator::Pattern::spot : simulator::Pattern::centre_weighted;
  const cv::Size size(720, 480);
  const simulator::View view{.field_of_view = 40};
  const simulator::Panorama card = card_for(camera, view, size);
  fs::create_directories(folder);
  result.log = folder / "log.csv";
  std::ofstream log(result.log);
  log << "frame,shutter,aperture,iso,mode,compensation,scene\n";
  for (std::size_t i = 0; i < kShutter.size(); ++i) {
    simulator::Camera shooting = camera;
    shooting.shutter_mark(kShutter[i]).error_stops = draw.normal(0, study.scatter);
    const simulator::Wish wish{
        .mode = simulator::Mode::set, .aperture = "8", .shutter = kShutter[i]};
    const simulator::Shot shot = simulator::take(card, view, size, shooting, wish);
    simulator::Seat seat;
    seat.margin_along = 1.6;
    seat.angle_degrees = draw.normal(0, 0.3);
    const simulator::Bed bed =
        simulator::one_frame(shot.exposure, simulator::film_format("24x36"), seat);
    result.scans.push_back(folder / ("card_" + std::to_string(i + 1) + ".tif"));
    simulator::write_tiff(result.scans.back(),
                          simulator::scan(bed, result.film, scanner, draw.seed()));
    log << i + 1 << ',' << kShutter[i] << ",8,400,M," << static_cast<int>(i) - kMiddle
        << ",grey card\n";
  }
  return result;
}

std::vector<GreyCardOutcome> run(const GreyCardStudy& study, const fs::path& folder) {
  using namespace basefog;  // NOLINT: most names below are the library's
  std::vector<GreyCardOutcome> outcomes;
  for (int r = 0; r < study.rolls; ++r) {
    const GreyCardRoll roll = photograph_grey_card(study, r, folder);
    GreyCardOutcome outcome;
    roll::ReviewOptions options;
    options.log = roll.log;
    options.film_speed = FilmSpeed(kIso);
    options.film = study.colour ? film::generic_colour_negative(FilmSpeed(kIso))
                                : film::generic_black_and_white(FilmSpeed(kIso));
    try {
      const roll::FilmTestFrames frames = roll::film_test_from_frames(
          roll::review(roll.scans, options), {.trusted_meter = study.trusted});
      const film::FilmTest test = film::calibrate_film(frames.series, options.film->kind);
      outcome.steps = static_cast<int>(frames.series.steps.size());
      double truth = roll.film.speed_error_stops;
      double found = 0;
      if (study.trusted) {
        const double boxed = std::log2(kIso);
        found = test.speed->value - boxed;
        outcome.speed_held =
            *test.speed->low - boxed <= truth && truth <= *test.speed->high - boxed;
      } else {
        truth += roll.meter_bias;
        found = test.speed_and_meter.value().value.value();
        outcome.speed_held = test.speed_and_meter->low->value() <= truth &&
                             truth <= test.speed_and_meter->high->value();
      }
      outcome.speed_error = found - truth;
      for (std::size_t l = 0; l < test.layers.size(); ++l) {
        const Estimate<double>& gradient = test.layers[l].average_gradient;
        const double right = true_gradient(roll.film, l);
        outcome.contrast_error.push_back(gradient.value / right - 1);
        outcome.contrast_held.push_back(*gradient.low <= right && right <= *gradient.high);
      }
    } catch (const InputError& error) {
      outcome.failure = error.what();
    }
    outcomes.push_back(std::move(outcome));
  }
  return outcomes;
}

}  // namespace validation

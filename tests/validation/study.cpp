// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/study.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "basefog/exposure_series.hpp"
#include "basefog/film_area.hpp"
#include "basefog/film_base.hpp"
#include "basefog/film_test.hpp"
#include "basefog/scan.hpp"
#include "basefog/scene_ranges.hpp"
#include "simulator/film.hpp"
#include "simulator/image_files.hpp"
#include "simulator/scan_file.hpp"
#include "validation/draws.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

constexpr double kContrastSigma = 0.10;  ///< spread of development from roll to roll

struct Roll {
  simulator::Film film;
  double contrast = 1;
  simulator::Scanner scanner;
  simulator::Meter meter;
  double iso = 400;
};

/// One roll's film, scanner and meter, drawn from what is usual.
Roll draw_roll(const Stratum& stratum, Draw& draw) {
  Roll roll;
  simulator::FilmRecipe recipe;
  recipe.iso = roll.iso;
  roll.contrast = std::clamp(draw.normal(1, kContrastSigma), 0.75, 1.3);
  recipe.granularity = draw.uniform(6, 18);
  recipe.toe_length = draw.uniform(0, 0.06);
  // The published tables show no shoulder to where they end, 7 (black-and-white) and 9.5 (colour)
  // stops above the speed point.
  recipe.shoulder_from_stops = stratum.colour ? draw.uniform(8, 11) : draw.uniform(6, 9);
  recipe.shoulder_fold = draw.uniform(0.4, 1.5);
  if (stratum.colour) {
    recipe.contrast = roll.contrast;
    recipe.toe_length /= 2;
    const std::array<std::string, 3> tables = {"100", "160", "400"};
    roll.film = simulator::colour_film(recipe, tables.at(draw.index(3)));
  } else {
    recipe.rise = 0.80 * roll.contrast;
    recipe.base = {draw.uniform(0.18, 0.35)};
    roll.film = simulator::black_and_white_film(recipe);
  }
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
  // "Linear" scanners and declared encodings are not quite what they say.
  scanner.response_exponent = draw.normal(1, stratum.jpeg ? 0.04 : 0.015);
  const double clear = draw.uniform(0.75, 0.95);  // of full scale, by clear film
  scanner.gain.clear();
  for (double base : roll.film.base) scanner.gain.push_back(clear * std::pow(10, base));
  roll.meter.pattern =
      draw.chance(0.5) ? simulator::Pattern::average : simulator::Pattern::centre_weighted;
  roll.meter.bias_stops = draw.normal(0, 0.5);
  return roll;
}

/// A film test of the very film with the camera's own shutter: eleven exposures of an even subject
/// a stop apart, each off by what shutters repeat to, densities read off scans.
basefog::FilmProfile tested_profile(const Roll& roll, bool colour, Draw& draw) {
  constexpr double kStop = 0.30102999566398120;
  constexpr double kShutterRepeats = 0.05;  // stops
  constexpr double kDensityRead = 0.003;
  basefog::FilmTestSeries series;
  series.layers = colour ? std::vector<std::string>{"red", "green", "blue"}
                         : std::vector<std::string>{"silver"};
  series.exposure_sigma_stops = kShutterRepeats;
  series.absolute = true;
  series.base.assign(series.layers.size(), 0.0);
  series.base_sigma.assign(series.layers.size(), kDensityRead);
  for (int stops = -2; stops <= 10; ++stops) {
    basefog::FilmTestStep step;
    step.name = std::to_string(stops);
    step.log_h = roll.film.speed_point() + stops * kStop;
    const double given = step.log_h + draw.normal(0, kShutterRepeats) * kStop;
    for (const simulator::LayerCurve& layer : roll.film.layers) {
      step.density.push_back(layer.net_density(given) + draw.normal(0, kDensityRead));
      step.sigma.push_back(kDensityRead);
    }
    series.steps.push_back(std::move(step));
  }
  basefog::FilmProfile profile =
      basefog::calibrate_film(
          series, colour ? basefog::FilmKind::colour_negative : basefog::FilmKind::black_and_white)
          .profile;
  return profile;
}

basefog::FilmProfile profile_for(const Stratum& stratum, const Roll& roll, Draw& draw) {
  if (stratum.film_test) return tested_profile(roll, stratum.colour, draw);
  const basefog::FilmSpeed speed(roll.iso);
  return stratum.colour ? basefog::generic_colour_negative(speed)
                        : basefog::generic_black_and_white(speed);
}

struct Picture {
  simulator::Camera camera;
  simulator::View view;
};

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
  // The median of the scene at EV 10 keeps every shot within the shutter's times.
  return simulator::take(simulator::lit(scene.panorama, 10), picture.view, {720, 480},
                         picture.camera, wish);
}

/// Three exposures of one view from a tripod, two stops apart, settings in the log; each is off its
/// mark by what shutters repeat to.
constexpr int kBracketFrames = 3;
constexpr double kBracketStep = 2;

struct Bracket {
  const Scene* scene;
  Picture picture;
};

simulator::Shot draw_bracket_shot(const Bracket& bracket, int frame, Draw& draw) {
  constexpr double kShutterRepeats = 0.08;
  simulator::Wish wish;
  wish.mode = simulator::Mode::aperture_priority;
  wish.aperture = "5.6";
  wish.compensation = kBracketStep * (frame - 1);
  wish.scatter_stops = draw.normal(0, kShutterRepeats);
  return simulator::take(simulator::lit(bracket.scene->panorama, 10), bracket.picture.view,
                         {720, 480}, bracket.picture.camera, wish);
}

/// Sun, lamps or windows in the frame: 1/500 of it three stops or more above its mean.
bool has_lamps(const cv::Mat& exposure) {
  const cv::Mat h = simulator::luminance(exposure);
  constexpr double kBright = 8;
  constexpr double kShare = 1.0 / 500;
  const cv::Mat above = h > kBright * cv::mean(h)[0];
  return cv::countNonZero(above) > kShare * static_cast<double>(h.total());
}

/// What was measured of one frame, and what the log says of it.
struct Measured {
  std::optional<basefog::FrameMeasurement> frame;
  basefog::LoggedExposure logged;
};

/// Where the picture and the clear film are, from the simulation itself, so that the readings are
/// judged apart from the search for the frame. 0.3 mm along each edge belong to neither.
basefog::FilmLayout given_layout(const basefog::Scan& scan, const simulator::ScanImage& image,
                                 const simulator::Seat& seat) {
  const auto& corners = image.frames.front().corners;
  const cv::Point2d along = corners[1] - corners[0];
  const cv::Point2d down = corners[3] - corners[0];
  const cv::Point2d centre = (corners[0] + corners[2]) / 2;
  basefog::FrameRegion region{centre.x, centre.y, cv::norm(along), cv::norm(down),
                              std::atan2(-along.y, along.x) * 180 / std::numbers::pi};
  basefog::FilmLayout layout;
  layout.frames = {region};
  layout.edges_found = true;
  const double edge = 0.3 / image.pixel_mm;
  const double side = scan.blocks.block_side;
  for (int y = 0; y < scan.blocks.height; ++y) {
    for (int x = 0; x < scan.blocks.width; ++x) {
      const cv::Point2d p = cv::Point2d((x + 0.5) * side, (y + 0.5) * side) - centre;
      const double u = std::abs(p.dot(along) / region.width) - region.width / 2;
      const double v = std::abs(p.dot(down) / region.height) - region.height / 2;
      const bool in_view = u < seat.margin_along / image.pixel_mm - edge &&
                           v < seat.margin_across / image.pixel_mm - edge;
      const bool clear = in_view && (u > edge || v > edge);
      const bool picture = u < 0 && v < 0;
      layout.kind.push_back(picture ? basefog::AreaKind::picture
                            : clear ? basefog::AreaKind::clear_film
                                    : basefog::AreaKind::mask);
    }
  }
  return layout;
}

/// Scans one shot and measures it, as far as it can be read.
void measure(Outcome& outcome, Measured& measured, const simulator::ScanImage& image,
             const Stratum& stratum, const std::optional<simulator::Seat>& given,
             const fs::path& file) {
  if (stratum.jpeg) {
    simulator::write_jpeg(file, image, 90);
  } else {
    simulator::write_tiff(file, image);
  }
  const basefog::Scan scan = basefog::read_scan(file);
  const basefog::FilmLayout layout =
      given ? given_layout(scan, image, *given) : basefog::find_film(scan);
  std::vector<basefog::FrameMeasurement> frames = basefog::measure_frames(scan, layout);
  if (frames.size() != 1) return;
  outcome.state = frames.front().state;
  if (outcome.state != basefog::FrameState::measured) return;
  if (frames.front().rebate.kind == basefog::ReferenceKind::none) {
    outcome.state = basefog::FrameState::no_reference;
    return;
  }
  measured.frame = std::move(frames.front());
}

/// What the frames of a roll tell of its film together, as a review of the roll does it: series of
/// exposures where the log names them, the ranges of the scenes otherwise.
void learn_from_roll(basefog::FilmProfile& profile, basefog::ReadingOptions& options,
                     const std::vector<Measured>& roll) {
  std::vector<basefog::SeriesFrame> series;
  std::vector<basefog::RangeFrame> ranges;
  for (const Measured& one : roll) {
    if (!one.frame) continue;
    ranges.push_back({&*one.frame, &one.frame->rebate});
    series.push_back({&*one.frame, &one.frame->rebate, one.logged, ""});
  }
  const auto found = basefog::contrast_from_series(series, profile);
  if (found && found->factor.two_sided() &&
      found->film.contrast_relative_sigma < profile.contrast_relative_sigma) {
    profile = found->film;
  }
  if (ranges.empty()) return;
  const basefog::SceneRanges scenes = basefog::contrast_from_ranges(ranges, profile);
  profile = scenes.film;
  options.response_sigma = scenes.response_sigma;
}

/// One roll: shots, scans, measurements, and last the readings of all.
class RollStudy {
 public:
  RollStudy(const Stratum& stratum, const StudyOptions& options, const std::vector<Scene>& scenes,
            fs::path file)
      : stratum_(stratum), options_(options), scenes_(scenes), file_(std::move(file)) {}

  std::vector<Outcome> run(int number) {
    Draw draw(simulator::Noise(options_.seed).fork(static_cast<std::uint64_t>(number)));
    const Roll roll = draw_roll(stratum_, draw);
    basefog::FilmProfile profile = profile_for(stratum_, roll, draw);
    std::vector<Outcome> outcomes;
    std::vector<Measured> measured;
    std::optional<Bracket> bracket;
    if (stratum_.bracket) {
      const Scene& scene = scenes_[draw.index(scenes_.size())];
      bracket = {&scene, draw_picture(roll, draw)};
    }
    for (int f = 0; f < options_.frames; ++f) {
      const bool of_bracket = bracket && f < kBracketFrames;
      const Scene& scene = of_bracket ? *bracket->scene : scenes_[draw.index(scenes_.size())];
      const simulator::Shot shot =
          of_bracket ? draw_bracket_shot(*bracket, f, draw) : draw_shot(scene, roll, draw);
      Outcome outcome{.stratum = stratum_.name, .roll = number, .scene = scene.name};
      outcome.contrast = roll.contrast;
      outcome.lamps = has_lamps(shot.exposure);
      outcome.truth = simulator::truth_of(shot, roll.film, roll.meter);
      Measured one;
      if (of_bracket) one.logged = {basefog::Stops(kBracketStep * f), std::nullopt, true};
      scan_shot(outcome, one, shot, roll, draw);
      outcomes.push_back(std::move(outcome));
      measured.push_back(std::move(one));
    }
    read(outcomes, measured, roll, std::move(profile));
    return outcomes;
  }

 private:
  void scan_shot(Outcome& outcome, Measured& one, const simulator::Shot& shot, const Roll& roll,
                 Draw& draw) const {
    simulator::Seat seat;
    seat.margin_along = 1.6;
    seat.angle_degrees = draw.normal(0, 0.3);
    const simulator::Bed bed =
        simulator::one_frame(shot.exposure, simulator::film_format("24x36"), seat);
    measure(outcome, one, simulator::scan(bed, roll.film, roll.scanner, draw.seed()), stratum_,
            options_.given_frames ? std::optional(seat) : std::nullopt, file_);
  }

  void read(std::vector<Outcome>& outcomes, const std::vector<Measured>& measured, const Roll& roll,
            basefog::FilmProfile profile) const {
    basefog::ReadingOptions reading;
    if (stratum_.pattern_known) {
      reading.pattern = roll.meter.pattern == simulator::Pattern::average
                            ? basefog::MeteringPattern::average
                            : basefog::MeteringPattern::centre_weighted;
    }
    learn_from_roll(profile, reading, measured);
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
      if (!measured[i].frame) continue;
      const basefog::FrameMeasurement& frame = *measured[i].frame;
      outcomes[i].reading = basefog::read_frame(
          frame, frame.rebate, profile, {.film_speed = basefog::FilmSpeed(roll.iso)}, reading);
    }
  }

  const Stratum& stratum_;
  const StudyOptions& options_;
  const std::vector<Scene>& scenes_;
  fs::path file_;
};

}  // namespace

std::vector<Stratum> strata() {
  return {
      {.name = "generic film"},
      {.name = "generic film, pattern known", .pattern_known = true},
      {.name = "bracket on the roll", .bracket = true},
      {.name = "film test, pattern known", .film_test = true, .pattern_known = true},
      {.name = "colour", .colour = true},
      {.name = "colour film test, pattern known",
       .colour = true,
       .film_test = true,
       .pattern_known = true},
      {.name = "8-bit JPEG", .jpeg = true},
  };
}

std::vector<Outcome> run(const Stratum& stratum, const StudyOptions& options) {
  const std::vector<Scene> scenes = scenes_in(options.panoramas);
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / (stratum.jpeg ? "frame.jpg" : "frame.tif");
  RollStudy study(stratum, options, scenes, file);
  std::vector<Outcome> outcomes;
  for (int r = 0; r < options.rolls; ++r) {
    for (Outcome& outcome : study.run(r)) outcomes.push_back(std::move(outcome));
  }
  return outcomes;
}

}  // namespace validation

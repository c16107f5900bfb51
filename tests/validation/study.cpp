// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/study.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <opencv2/core.hpp>
#include <stdexcept>

#include "basefog/film_area.hpp"
#include "basefog/film_base.hpp"
#include "basefog/film_test.hpp"
#include "basefog/scan.hpp"
#include "simulator/film.hpp"
#include "simulator/image_files.hpp"
#include "simulator/noise.hpp"
#include "simulator/scan_file.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

/// A stream of random numbers with names for what is drawn.
class Draw {
 public:
  explicit Draw(simulator::Noise noise) : noise_(noise) {}
  double uniform(double low, double high) { return low + (high - low) * noise_.uniform(count_++); }
  double normal(double mean, double sigma) { return mean + sigma * noise_.normal(count_++); }
  bool chance(double share) { return uniform(0, 1) < share; }
  std::size_t index(std::size_t size) {
    return std::min(size - 1, static_cast<std::size_t>(uniform(0, static_cast<double>(size))));
  }
  std::uint64_t seed() { return static_cast<std::uint64_t>(uniform(1, 1e9)); }

 private:
  simulator::Noise noise_;
  std::uint64_t count_ = 0;
};

/// A folder of its own, so that studies can run side by side; gone with the object.
class ScratchFolder {
 public:
  ScratchFolder() {
    std::string name = (fs::temp_directory_path() / "basefog-validation-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
    path_ = name;
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  ~ScratchFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

struct Scene {
  std::string name;
  simulator::Panorama panorama;
};

/// Panoramas of a folder; without one, made-up ones that a quick test can do with.
std::vector<Scene> scenes_in(const fs::path& folder) {
  if (folder.empty()) {
    return {{"gradient of 5 stops", simulator::gradient_panorama(5)},
            {"gradient of 7 stops", simulator::gradient_panorama(7)},
            {"disc", simulator::disc_panorama(20, 3)}};
  }
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder)) {
    const std::string extension = entry.path().extension().string();
    if (extension == ".exr" || extension == ".hdr") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  std::vector<Scene> scenes;
  for (const fs::path& file : files) {
    scenes.push_back({file.stem().string(), simulator::read_panorama(file)});
  }
  if (scenes.empty()) throw std::runtime_error("no panoramas in " + folder.string());
  return scenes;
}

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

simulator::Shot draw_shot(const Scene& scene, const Roll& roll, Draw& draw) {
  simulator::Camera camera;
  camera.exposure_index = roll.iso;
  camera.meter = roll.meter;
  camera.lens.vignetting = draw.uniform(0.2, 1.0);
  camera.lens.veiling_glare = draw.uniform(0.003, 0.03);
  const simulator::View view{.yaw = draw.uniform(-180, 180),
                             .pitch = draw.normal(0, 12),
                             .roll = draw.normal(0, 2),
                             .field_of_view = draw.uniform(25, 75)};
  simulator::Wish wish;
  wish.mode = simulator::Mode::aperture_priority;
  wish.aperture = "5.6";
  wish.scatter_stops = draw.normal(0, 0.3);
  // Most frames are exposed as metered; some are far off, as on any roll.
  if (draw.chance(0.25)) wish.compensation = draw.uniform(-3, 3);
  // The median of the scene at EV 10 keeps every shot within the shutter's times.
  return simulator::take(simulator::lit(scene.panorama, 10), view, {720, 480}, camera, wish);
}

/// Sun, lamps or windows in the frame: 1/500 of it three stops or more above its mean.
bool has_lamps(const cv::Mat& exposure) {
  const cv::Mat h = simulator::luminance(exposure);
  constexpr double kBright = 8;
  constexpr double kShare = 1.0 / 500;
  const cv::Mat above = h > kBright * cv::mean(h)[0];
  return cv::countNonZero(above) > kShare * static_cast<double>(h.total());
}

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

void read_back(Outcome& outcome, const simulator::ScanImage& image, const Stratum& stratum,
               const basefog::FilmProfile& profile, const Roll& roll,
               const std::optional<simulator::Seat>& given, const fs::path& file) {
  if (stratum.jpeg) {
    simulator::write_jpeg(file, image, 90);
  } else {
    simulator::write_tiff(file, image);
  }
  const basefog::Scan scan = basefog::read_scan(file);
  const basefog::FilmLayout layout =
      given ? given_layout(scan, image, *given) : basefog::find_film(scan);
  const std::vector<basefog::FrameMeasurement> frames = basefog::measure_frames(scan, layout);
  if (frames.size() != 1) return;
  const basefog::FrameMeasurement& frame = frames.front();
  outcome.state = frame.state;
  if (frame.state != basefog::FrameState::measured) return;
  if (frame.rebate.kind == basefog::ReferenceKind::none) {
    outcome.state = basefog::FrameState::no_reference;
    return;
  }
  basefog::ReadingOptions options;
  if (stratum.pattern_known) {
    options.pattern = roll.meter.pattern == simulator::Pattern::average
                          ? basefog::MeteringPattern::average
                          : basefog::MeteringPattern::centre_weighted;
  }
  outcome.reading = basefog::read_frame(frame, frame.rebate, profile,
                                        {.film_speed = basefog::FilmSpeed(roll.iso)}, options);
}

}  // namespace

std::vector<Stratum> strata() {
  return {
      {.name = "generic film"},
      {.name = "generic film, pattern known", .pattern_known = true},
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
  std::vector<Outcome> outcomes;
  for (int r = 0; r < options.rolls; ++r) {
    Draw draw(simulator::Noise(options.seed).fork(static_cast<std::uint64_t>(r)));
    const Roll roll = draw_roll(stratum, draw);
    const basefog::FilmProfile profile = profile_for(stratum, roll, draw);
    for (int f = 0; f < options.frames; ++f) {
      Outcome outcome{.stratum = stratum.name, .roll = r, .scene = {}, .truth = {}, .reading = {}};
      const Scene& scene = scenes[draw.index(scenes.size())];
      const simulator::Shot shot = draw_shot(scene, roll, draw);
      outcome.scene = scene.name;
      outcome.contrast = roll.contrast;
      outcome.lamps = has_lamps(shot.exposure);
      outcome.truth = simulator::truth_of(shot, roll.film, roll.meter);
      simulator::Seat seat;
      seat.margin_along = 1.6;
      seat.angle_degrees = draw.normal(0, 0.3);
      const simulator::Bed bed =
          simulator::one_frame(shot.exposure, simulator::film_format("24x36"), seat);
      read_back(outcome, simulator::scan(bed, roll.film, roll.scanner, draw.seed()), stratum,
                profile, roll, options.given_frames ? std::optional(seat) : std::nullopt, file);
      outcomes.push_back(std::move(outcome));
    }
  }
  return outcomes;
}

std::string_view name_of(AnswerKind kind) {
  constexpr std::array<std::string_view, kAnswerKinds> kNames = {
      "exposure", "shadow reserve", "highlight reach", "highlight room", "correction"};
  return kNames.at(static_cast<std::size_t>(kind));
}

const basefog::Answer& answer_of(const basefog::FrameReading& reading, AnswerKind kind) {
  switch (kind) {
    case AnswerKind::exposure:
      return reading.exposure;
    case AnswerKind::shadow_reserve:
      return reading.shadow_reserve;
    case AnswerKind::highlight_reach:
      return reading.highlight_reach;
    case AnswerKind::highlight_room:
      return reading.highlight_room;
    case AnswerKind::correction:
      break;
  }
  return reading.correction;
}

double truth_of(const simulator::FrameTruth& truth, AnswerKind kind) {
  switch (kind) {
    case AnswerKind::exposure:
      return truth.exposure;
    case AnswerKind::shadow_reserve:
      return truth.shadow_reserve;
    case AnswerKind::highlight_reach:
      return truth.highlight_reach;
    case AnswerKind::highlight_room:
      return truth.highlight_room;
    case AnswerKind::correction:
      break;
  }
  return truth.correction;
}

Score score(const std::vector<Outcome>& outcomes, AnswerKind kind) {
  Score result;
  double sum = 0;
  double squares = 0;
  int held = 0;
  std::vector<double> widths;
  for (const Outcome& outcome : outcomes) {
    if (!outcome.reading) continue;
    const basefog::StopsEstimate& estimate = answer_of(*outcome.reading, kind).estimate;
    const double truth = truth_of(outcome.truth, kind);
    ++result.frames;
    const bool low = !estimate.low || estimate.low->value() <= truth;
    const bool high = !estimate.high || truth <= estimate.high->value();
    if (low && high) ++held;
    if (!estimate.two_sided()) continue;
    ++result.two_sided;
    const double error = estimate.value.value() - truth;
    sum += error;
    squares += error * error;
    widths.push_back((*estimate.high - *estimate.low).value());
  }
  if (result.frames > 0) result.coverage = static_cast<double>(held) / result.frames;
  if (result.two_sided > 0) {
    result.bias = sum / result.two_sided;
    result.rms = std::sqrt(squares / result.two_sided);
    std::sort(widths.begin(), widths.end());
    result.width = widths[widths.size() / 2];
  }
  return result;
}

double right_verdicts(const std::vector<Outcome>& outcomes, int& judged) {
  judged = 0;
  int right = 0;
  for (const Outcome& outcome : outcomes) {
    if (!outcome.reading) continue;
    const double c = std::abs(outcome.truth.correction);
    if (std::min(std::abs(c - 0.5), std::abs(c - 1.5)) < 1.0 / 3) continue;
    ++judged;
    if (basefog::name_of(outcome.reading->verdict) == outcome.truth.verdict) ++right;
  }
  return judged > 0 ? static_cast<double>(right) / judged : 0;
}

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/bracket_study.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <opencv2/imgproc.hpp>

#include "basefog/density/scan_record.hpp"
#include "basefog/roll/analysis.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/scan_file.hpp"
#include "validation/draws.hpp"
#include "validation/grey_card_study.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

constexpr double kIso = 400;

/// Patches and clouds of all sizes over about eight stops, coloured a little.
simulator::Panorama made_up_panorama(std::uint64_t seed) {
  const cv::Size size(1024, 512);
  cv::Mat sum = cv::Mat::zeros(size, CV_32F);
  for (int cells = 8; cells <= 256; cells *= 2) {
    const cv::Mat coarse = simulator::normal_picture(
        {cells, cells / 2}, simulator::Noise(seed).fork(static_cast<std::uint64_t>(cells)));
    cv::Mat fine;
    cv::resize(coarse, fine, size, 0, 0, cells < 64 ? cv::INTER_LINEAR : cv::INTER_NEAREST);
    sum += fine * (2.0 / std::sqrt(cells / 4.0));
  }
  cv::Mat layers;
  cv::merge(std::vector<cv::Mat>{sum * 1.03F, sum, sum * 0.97F}, layers);
  layers *= std::log(2.0);
  cv::exp(layers, layers);
  return {layers};
}

std::vector<Scene> scenes_of(const BracketStudy& study) {
  if (!study.panoramas.empty()) return scenes_in(study.panoramas);
  std::vector<Scene> scenes;
  for (std::uint64_t i = 0; i < 4; ++i) {
    scenes.push_back({"made up " + std::to_string(i), made_up_panorama(study.seed * 100 + i)});
  }
  return scenes;
}

/// One roll on its way from the camera to the disk.
class Roll {
 public:
  Roll(const BracketStudy& study, Draw& draw, fs::path folder)
      : study_(study), draw_(draw), folder_(std::move(folder)), film_(draw_film()) {
    if (is_kept()) return;
    fs::create_directories(folder_);
    log_.open(folder_ / "log.csv");
    log_ << "frame,shutter,aperture,iso,mode,scene\n";
    camera_.exposure_index = kIso;
    camera_.meter.bias_stops = draw_.normal(0, 0.3);
    camera_.lens.vignetting = draw_.uniform(0.2, 1.0);
    camera_.lens.veiling_glare = draw_.uniform(0.003, 0.02);
    scanner_.channels = study_.colour ? 3 : 1;
    scanner_.flare = draw_.uniform(0.001, 0.005);
    scanner_.read_noise = std::exp2(draw_.uniform(-14, -12));
    scanner_.fall_off = draw_.uniform(0, 0.03);
    const double clear = draw_.uniform(0.75, 0.95);
    scanner_.gain.clear();
    for (double base : film_.base) scanner_.gain.push_back(clear * std::pow(10, base));
  }

  /// Whether it was photographed, scanned and kept before.
  bool is_kept() const { return !study_.kept.empty() && fs::exists(scenes_file()); }
  fs::path scenes_file() const { return folder_ / "scenes.txt"; }

  /// A frame at these stops from what the meter asks, by shutter time; the hand moves the view.
  void picture(const Scene& scene, const simulator::View& view, int stops,
               Trouble trouble = Trouble::none) {
    simulator::View held = view;
    held.yaw += draw_.normal(0, 0.5);
    held.pitch += draw_.normal(0, 0.4);
    held.roll += draw_.normal(0, 0.15);
    simulator::Camera shooting = camera_;
    const std::string shutter = shutter_at(kMetered + stops);
    shooting.shutter_mark(shutter).error_stops = draw_.normal(0, study_.scatter);
    const double light = kLight + (trouble == Trouble::changed_light ? 1.5 : 0);
    simulator::Shot shot =
        simulator::take(simulator::lit(scene.panorama, view, light), held, {720, 480}, shooting,
                        {.mode = simulator::Mode::set, .aperture = "8", .shutter = shutter});
    if (trouble == Trouble::moved_subject) enter(shot.exposure);
    simulator::Seat seat;
    seat.margin_along = 1.6;
    seat.angle_degrees = draw_.normal(0, 0.3);
    const simulator::Bed bed =
        simulator::one_frame(shot.exposure, simulator::film_format("24x36"), seat);
    ++frame_;
    const fs::path file =
        folder_ / ("roll_" + std::string(frame_ < 10 ? "0" : "") + std::to_string(frame_) + ".tif");
    simulator::write_tiff(file, simulator::scan(bed, film_, scanner_, draw_.seed()));
    scans_.push_back(file);
    const std::string written =
        trouble == Trouble::wrong_row ? shutter_at(kMetered + stops + 2) : shutter;
    log_ << frame_ << ',' << written << ",8,400,M," << scene.name << '\n';
  }

  const simulator::Film& film() const { return film_; }

  /// Keeps what a review needs, so that the roll can be reviewed again without its scans.
  void keep() {
    for (const fs::path& scan : scans_) {
      std::ofstream(folder_ / (scan.stem().string() + ".json"))
          << basefog::density::scan_record_text(basefog::density::measure_scan(scan));
      fs::remove(scan);
    }
  }

  basefog::roll::Analysis reviewed() {
    log_.close();
    basefog::roll::ReviewOptions options;
    options.log = folder_ / "log.csv";
    options.film_speed = basefog::FilmSpeed(kIso);
    // The scanner's gains balance the mask away, by which colour film is else known.
    if (study_.colour) options.film = basefog::film::generic_colour_negative(*options.film_speed);
    return study_.kept.empty() ? basefog::roll::review(scans_, options)
                               : basefog::roll::review_records(
                                     basefog::density::read_scan_records({folder_}), options);
  }

 private:
  static constexpr int kMetered = 3;    ///< 1/125
  static constexpr double kLight = 11;  ///< EV at ISO 100: f/8 and 1/128 at ISO 400

  /// Somebody evenly lit, as bright as the mean of the frame, a sixth of its width and half its
  /// height.
  static void enter(cv::Mat& exposure) {
    const cv::Rect figure(exposure.cols / 3, exposure.rows / 2, exposure.cols / 6,
                          exposure.rows / 2);
    exposure(figure).setTo(cv::mean(exposure));
  }

  static std::string shutter_at(int place) {
    constexpr std::array<const char*, 7> kShutter = {"1/1000", "1/500", "1/250", "1/125",
                                                     "1/60",   "1/30",  "1/15"};
    return kShutter.at(static_cast<std::size_t>(place));
  }

  simulator::Film draw_film() {
    simulator::FilmRecipe recipe;
    recipe.iso = kIso;
    recipe.speed_error_stops = draw_.normal(0, 0.2);
    recipe.granularity = draw_.uniform(6, 18);
    recipe.toe_length = draw_.uniform(0, study_.colour ? 0.03 : 0.06);
    recipe.shoulder_from_stops = study_.colour ? draw_.uniform(8, 11) : draw_.uniform(6, 9);
    recipe.shoulder_fold = draw_.uniform(0.4, 1.5);
    if (study_.colour) {
      recipe.contrast = draw_.uniform(0.85, 1.15);
      constexpr std::array<const char*, 3> kTables = {"100", "160", "400"};
      return simulator::colour_film(recipe, kTables.at(draw_.index(3)));
    }
    recipe.rise = draw_.uniform(0.66, 0.94);
    recipe.base = {draw_.uniform(0.18, 0.35)};
    return simulator::black_and_white_film(recipe);
  }

  const BracketStudy& study_;
  Draw& draw_;
  fs::path folder_;
  simulator::Film film_;
  simulator::Camera camera_;
  simulator::Scanner scanner_;
  std::vector<fs::path> scans_;
  std::ofstream log_;
  int frame_ = 0;
};

/// The film's average gradient against the generic film's, mean of the layers.
double true_factor(const simulator::Film& film) {
  const basefog::film::FilmProfile generic =
      film.layers.size() == 1 ? basefog::film::generic_black_and_white(basefog::FilmSpeed(400))
                              : basefog::film::generic_colour_negative(basefog::FilmSpeed(400));
  double sum = 0;
  for (std::size_t l = 0; l < film.layers.size(); ++l) {
    const basefog::film::CharacteristicCurve& curve = generic.layers[l].curve;
    const basefog::NetDensity speed(film.layers.size() == 1 ? 0.10 : 0.15);
    const basefog::Stops from = curve.where(speed).value();
    const basefog::Stops to = from + basefog::Stops::from_log10(1.30);
    const double gradient = (curve.density(to) - curve.density(from)).value() / 1.30;
    sum += true_gradient(film, l) / gradient;
  }
  return sum / static_cast<double>(film.layers.size());
}

/// All frames of a roll; the scenes of its brackets.
std::string photograph(const BracketStudy& study, const std::vector<Scene>& scenes, Draw& draw,
                       Roll& roll) {
  const auto view = [&] {
    return simulator::View{.yaw = draw.uniform(-180, 180),
                           .pitch = draw.normal(0, 12),
                           .roll = draw.normal(0, 2),
                           .field_of_view = draw.uniform(35, 70)};
  };
  std::string bracketed;
  for (int k = 0; k < std::max(study.brackets, study.others); ++k) {
    if (k < study.brackets) {
      const Scene& scene = scenes[draw.index(scenes.size())];
      const simulator::View seen = view();
      for (const int stops : {-1, 0, 1}) {
        roll.picture(scene, seen, stops, stops == 1 ? study.trouble : Trouble::none);
      }
      bracketed += (bracketed.empty() ? "" : ", ") + scene.name;
    }
    if (k < study.others) roll.picture(scenes[draw.index(scenes.size())], view(), 0);
  }
  return bracketed;
}

}  // namespace

/// Where what was measured of a roll is kept: all that its scans depend on but the panoramas.
std::string kept_name(const BracketStudy& study, int roll) {
  return "seed " + std::to_string(study.seed) + (study.colour ? ", colour, " : ", ") +
         std::to_string(study.brackets) + " brackets, scatter " + std::to_string(study.scatter) +
         ", roll " + std::to_string(roll);
}

std::vector<BracketOutcome> run(const BracketStudy& study, const fs::path& folder) {
  const std::vector<Scene> scenes = scenes_of(study);
  std::vector<BracketOutcome> outcomes;
  for (int r = 0; r < study.rolls; ++r) {
    Draw draw(simulator::Noise(study.seed).fork(static_cast<std::uint64_t>(r)));
    Roll roll(study, draw, study.kept.empty() ? folder / "roll" : study.kept / kept_name(study, r));
    BracketOutcome outcome;
    outcome.truth = true_factor(roll.film());
    if (roll.is_kept()) {
      std::getline(std::ifstream(roll.scenes_file()), outcome.scenes);
    } else {
      outcome.scenes = photograph(study, scenes, draw, roll);
      if (!study.kept.empty()) {
        roll.keep();
        std::ofstream(roll.scenes_file()) << outcome.scenes << '\n';
      }
    }
    const basefog::roll::Analysis analysis = roll.reviewed();
    if (analysis.series) {
      for (const basefog::evidence::ExposureSeries& series : analysis.series->series) {
        ++outcome.series;
        outcome.used += series.used ? 1 : 0;
        outcome.left_out += static_cast<int>(series.left_out.size());
      }
      if (analysis.series->factor.two_sided()) {
        outcome.found = true;
        outcome.factor = analysis.series->factor.value;
        outcome.low = *analysis.series->factor.low;
        outcome.high = *analysis.series->factor.high;
      }
    }
    outcomes.push_back(outcome);
  }
  return outcomes;
}

}  // namespace validation

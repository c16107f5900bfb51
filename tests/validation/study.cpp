// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/study.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "basefog/area/film_area.hpp"
#include "basefog/density/film_base.hpp"
#include "basefog/ensemble/roll_reading.hpp"
#include "basefog/memory/film_memory.hpp"
#include "basefog/scan/scan.hpp"
#include "simulator/image_files.hpp"
#include "simulator/scan_file.hpp"
#include "validation/drawn_roll.hpp"
#include "validation/kept_rolls.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

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
basefog::area::FilmLayout given_layout(const basefog::scan::Scan& scan,
                                       const simulator::ScanImage& image,
                                       const simulator::Seat& seat) {
  const auto& corners = image.frames.front().corners;
  const cv::Point2d along = corners[1] - corners[0];
  const cv::Point2d down = corners[3] - corners[0];
  const cv::Point2d centre = (corners[0] + corners[2]) / 2;
  basefog::area::FrameRegion region{centre.x, centre.y, cv::norm(along), cv::norm(down),
                                    std::atan2(-along.y, along.x) * 180 / std::numbers::pi};
  basefog::area::FilmLayout layout;
  layout.frames = {region};
  layout.stray = basefog::area::find_film(scan).stray;
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
      layout.kind.push_back(picture ? basefog::area::AreaKind::picture
                            : clear ? basefog::area::AreaKind::clear_film
                                    : basefog::area::AreaKind::mask);
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
  basefog::scan::ReadOptions stated;
  stated.response = stated_response(stratum);
  const basefog::scan::Scan scan = basefog::scan::read_scan(file, stated);
  const basefog::area::FilmLayout layout =
      given ? given_layout(scan, image, *given) : basefog::area::find_film(scan);
  std::vector<basefog::density::FrameMeasurement> frames =
      basefog::density::measure_frames(scan, layout);
  if (frames.size() != 1) return;
  outcome.state = frames.front().state;
  if (outcome.state != basefog::density::FrameState::measured) return;
  if (frames.front().rebate.kind == basefog::density::ReferenceKind::none) {
    outcome.state = basefog::density::FrameState::no_reference;
    return;
  }
  measured.frame = std::move(frames.front());
}

/// A film as it is known, and where it lies from the form that lessons count from.
struct Known {
  basefog::film::FilmProfile profile;
  basefog::film::FilmNumbers place{};
};

/// What exposure series show of the film where the log names them, as a review of the roll does it;
/// what they said, counted from the form.
basefog::film::FilmEvidence learn_from_roll(Known& known, const std::vector<Measured>& roll) {
  std::vector<basefog::evidence::SeriesFrame> series;
  for (const Measured& one : roll) {
    if (one.frame) series.push_back({&*one.frame, &one.frame->rebate, one.logged, ""});
  }
  const auto found = basefog::evidence::contrast_from_series(series, known.profile);
  if (!found) return {};
  const basefog::film::FilmEvidence said =
      basefog::film::counted_from(found->evidence, known.place);
  known.place = basefog::film::sum(known.place, found->place);
  known.profile = found->film;
  return said;
}

/// One roll: shots, scans, measurements, and last the readings of all.
class RollStudy {
 public:
  RollStudy(const Stratum& stratum, const StudyOptions& options, const std::vector<Scene>& scenes,
            fs::path file)
      : stratum_(stratum), options_(options), scenes_(scenes), file_(std::move(file)) {}

  std::vector<Outcome> run(int number) {
    Draw draw(simulator::Noise(options_.seed).fork(static_cast<std::uint64_t>(number)));
    const int film = number / stratum_.rolls_of_film;
    Draw of_film(simulator::Noise(options_.seed + 2).fork(static_cast<std::uint64_t>(film)));
    first_of_film_ = number % stratum_.rolls_of_film == 0;
    const Roll roll =
        draw_roll(stratum_, number, stratum_.rolls_of_film > 1 ? of_film : draw, draw);
    Draw test(simulator::Noise(options_.seed + 1).fork(static_cast<std::uint64_t>(number)));
    // A film test is of the first roll; on later ones it is an earlier one's.
    if (first_of_film_) {
      lessons_.clear();
      form_ = profile_for(stratum_, roll, options_.told, test);
    } else if (stratum_.film_test && number % stratum_.rolls_of_film == 1) {
      form_ = basefog::memory::on_another_roll(form_, kUse);
    }
    const fs::path kept =
        options_.kept.empty()
            ? fs::path()
            : options_.kept / fmt::format("{}{}, seed {}, roll {}", stratum_.taken,
                                          options_.given_frames ? "" : ", found", options_.seed,
                                          number);
    std::optional<TakenRoll> taken;
    if (!kept.empty()) taken = kept_roll(kept, options_.frames);
    if (!taken) {
      taken = take(roll, draw);
      if (!kept.empty()) keep(kept, *taken);
    }
    for (Outcome& outcome : taken->outcomes) {
      outcome.stratum = stratum_.name;
      outcome.roll = number;
    }
    read(taken->outcomes, taken->measured, roll);
    if (number % stratum_.rolls_of_film < stratum_.counted) return {};
    return std::move(taken->outcomes);
  }

 private:
  TakenRoll take(const Roll& roll, Draw& draw) const {
    TakenRoll taken;
    std::optional<Bracket> bracket;
    if (stratum_.bracket && first_of_film_) {
      const Scene& scene = scenes_[draw.index(scenes_.size())];
      bracket = {&scene, draw_picture(roll, draw)};
    }
    for (int f = 0; f < options_.frames; ++f) {
      const bool of_bracket = bracket && f < kBracketFrames;
      const Scene& scene = of_bracket ? *bracket->scene : scenes_[draw.index(scenes_.size())];
      const simulator::Shot shot =
          of_bracket ? draw_bracket_shot(*bracket, f, draw) : draw_shot(scene, roll, draw);
      Outcome outcome{.scene = scene.name};
      outcome.contrast = roll.contrast;
      outcome.asked = shot.compensation;
      outcome.lamps = has_lamps(shot.exposure);
      outcome.truth = simulator::truth_of(shot, roll.film, roll.meter);
      Measured one;
      if (of_bracket) one.logged = {std::nullopt, basefog::Stops(kBracketStep * f), true};
      scan_shot(outcome, one, shot, roll, draw);
      taken.outcomes.push_back(std::move(outcome));
      taken.measured.push_back(std::move(one));
    }
    return taken;
  }

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

  /// The film before the roll: by its form, and by what earlier rolls said of it.
  Known known() const {
    if (!stratum_.remembered) return {form_};
    const basefog::memory::FilmMemory memory = basefog::memory::recall(lessons_, kUse, form_);
    if (!memory.says_anything()) return {form_};
    return {basefog::film::believed(form_, memory.roll), memory.roll.mean};
  }

  void read(std::vector<Outcome>& outcomes, const std::vector<Measured>& measured,
            const Roll& roll) {
    basefog::reading::ReadingOptions reading;
    if (stratum_.pattern_known || options_.told.pattern) {
      reading.pattern = roll.meter.pattern == simulator::Pattern::average
                            ? basefog::MeteringPattern::average
                            : basefog::MeteringPattern::centre_weighted;
    }
    Known film = known();
    basefog::film::FilmEvidence said = learn_from_roll(film, measured);
    std::vector<basefog::ensemble::FrameToRead> frames;
    std::vector<Outcome*> of_frame;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
      if (!measured[i].frame) continue;
      frames.push_back({&*measured[i].frame, &measured[i].frame->rebate, reading, {}});
      if (stratum_.logged) frames.back().asked = basefog::ExposureFromAim(outcomes[i].asked);
      of_frame.push_back(&outcomes[i]);
    }
    basefog::ensemble::RollReading read = basefog::ensemble::read_roll(
        frames, film.profile, {.film_speed = basefog::FilmSpeed(roll.iso)});
    for (std::size_t f = 0; f < frames.size(); ++f)
      of_frame[f]->reading = std::move(read.frames[f]);
    said += basefog::film::counted_from(read.evidence, film.place);
    lessons_.push_back({.roll = std::to_string(lessons_.size()),
                        .use = kUse,
                        .form = basefog::film::fingerprint(form_),
                        .evidence = said});
  }

  inline static const basefog::memory::FilmUse kUse{.film = "the film"};

  const Stratum& stratum_;
  const StudyOptions& options_;
  const std::vector<Scene>& scenes_;
  fs::path file_;
  bool first_of_film_ = true;
  basefog::film::FilmProfile form_;                   ///< of the film
  std::vector<basefog::memory::FilmLesson> lessons_;  ///< of its rolls so far
};

}  // namespace

std::vector<Stratum> strata() {
  constexpr int kRollsOfFilm = 4;
  return {
      {.name = "black-and-white, log", .taken = "bw", .logged = true},
      {.name = "the same without the log", .taken = "bw"},
      {.name = "the same, pattern known", .taken = "bw", .pattern_known = true, .logged = true},
      {.name = "the same, film test of the roll",
       .taken = "bw",
       .film_test = true,
       .pattern_known = true,
       .logged = true},
      {.name = "bracket on the roll", .taken = "bw bracket", .bracket = true, .logged = true},
      {.name = "colour, log", .taken = "colour", .colour = true, .logged = true},
      {.name = "colour without the log", .taken = "colour", .colour = true},
      {.name = "colour, film test of the roll",
       .taken = "colour",
       .colour = true,
       .film_test = true,
       .pattern_known = true,
       .logged = true},
      {.name = "later rolls of a film, the first with a bracket, nothing remembered",
       .taken = "bw films",
       .bracket = true,
       .logged = true,
       .rolls_of_film = kRollsOfFilm,
       .counted = 1},
      {.name = "the same, remembered",
       .taken = "bw films",
       .bracket = true,
       .logged = true,
       .rolls_of_film = kRollsOfFilm,
       .remembered = true,
       .counted = 1},
      {.name = "the fourth roll, remembered",
       .taken = "bw films",
       .bracket = true,
       .logged = true,
       .rolls_of_film = kRollsOfFilm,
       .remembered = true,
       .counted = 3},
      {.name = "the same, film test of the first roll",
       .taken = "bw films",
       .bracket = true,
       .film_test = true,
       .logged = true,
       .rolls_of_film = kRollsOfFilm,
       .counted = 1},
      {.name = "8-bit JPEG, log", .taken = "jpeg", .jpeg = true, .logged = true},
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

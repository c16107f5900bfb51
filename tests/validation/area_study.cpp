// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/area_study.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <sstream>

#include "basefog/area/film_area.hpp"
#include "basefog/density/density.hpp"
#include "basefog/density/film_base.hpp"
#include "basefog/scan/scan.hpp"
#include "simulator/blemishes.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/layout.hpp"
#include "simulator/scan_file.hpp"
#include "simulator/scanner.hpp"
#include "validation/draws.hpp"
#include "validation/outlines.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

/// A format, how often it is met here, and how many frames a strip of it has.
struct Choice {
  const char* format;
  double share;
  int least;
  int most;
};
constexpr std::array<Choice, 8> kSingles = {{{"24x36", 0.5, 1, 1},
                                             {"18x24", 0.08, 1, 1},
                                             {"4.5x6", 0.08, 1, 1},
                                             {"6x6", 0.1, 1, 1},
                                             {"6x7", 0.08, 1, 1},
                                             {"6x9", 0.06, 1, 1},
                                             {"24x65", 0.05, 1, 1},
                                             {"4x5", 0.05, 1, 1}}};
constexpr std::array<Choice, 6> kStrips = {{{"24x36", 0.6, 3, 6},
                                            {"18x24", 0.08, 4, 8},
                                            {"4.5x6", 0.08, 3, 4},
                                            {"6x6", 0.12, 3, 4},
                                            {"6x7", 0.07, 2, 3},
                                            {"24x65", 0.05, 2, 3}}};

template <std::size_t n>
const Choice& choose(const std::array<Choice, n>& choices, Draw& draw) {
  double at = draw.uniform(0, 1);
  for (const Choice& choice : choices) {
    at -= choice.share;
    if (at < 0) return choice;
  }
  return choices.front();
}

struct Setting {
  bool colour = false;
  std::string format;
  int least = 1;  ///< frames a strip
  int most = 1;
  simulator::Film film;
  simulator::Scanner scanner;
  double flare = 0;
};

simulator::Film draw_film(bool colour, Draw& draw) {
  simulator::FilmRecipe recipe;
  recipe.granularity = draw.uniform(6, 18);
  if (colour) {
    const std::array<std::string, 3> tables = {"100", "160", "400"};
    return simulator::colour_film(recipe, tables.at(draw.index(3)));
  }
  recipe.base = {draw.uniform(0.12, 0.45)};
  return simulator::black_and_white_film(recipe);
}

Setting draw_setting(ScanKind kind, const AreaStudyOptions& options, Draw& draw) {
  Setting setting;
  setting.colour = draw.chance(0.35);
  const bool several = kind == ScanKind::strip || kind == ScanKind::sheet;
  const Choice& choice = several ? choose(kStrips, draw) : choose(kSingles, draw);
  setting.format = choice.format;
  setting.least = choice.least;
  setting.most = options.quick ? std::min(choice.most, 3) : choice.most;
  setting.film = draw_film(setting.colour, draw);
  simulator::Scanner& scanner = setting.scanner;
  const bool large = simulator::film_format(setting.format).film_width > 40;
  scanner.pixel_mm = kind == ScanKind::sheet || large || options.quick ? 0.1 : 0.05;
  scanner.channels = setting.colour ? 3 : 1;
  setting.flare = scanner.flare = draw.uniform(0, 0.03);
  scanner.flare_mm = draw.uniform(2, 8);
  scanner.read_noise = std::exp2(draw.uniform(-14, -12));
  scanner.fall_off = draw.uniform(0, 0.04);
  scanner.lean = draw.uniform(-0.015, 0.015);
  // A sheet is exposed for the light beside the film about as often as for the film.
  const bool for_light = kind == ScanKind::sheet && draw.chance(0.5);
  const double clear = draw.uniform(0.6, 0.92);
  scanner.gain.clear();
  for (const double base : setting.film.base) {
    scanner.gain.push_back(for_light                   ? clear
                           : kind == ScanKind::clipped ? 1.15 * std::pow(10, base)
                                                       : clear * std::pow(10, base));
  }
  return setting;
}

simulator::Shot draw_shot(const std::vector<Scene>& scenes, cv::Size size, Draw& draw) {
  const Scene& scene = scenes[draw.index(scenes.size())];
  simulator::Camera camera;
  const bool upright = draw.chance(0.2);
  const simulator::View view{.yaw = draw.uniform(-180, 180),
                             .pitch = draw.normal(0, 12),
                             .roll = draw.normal(upright ? 90 : 0, 2),
                             .field_of_view = draw.uniform(25, 75),
                             .detail = 0.7};
  simulator::Wish wish;
  wish.mode = simulator::Mode::aperture_priority;
  wish.aperture = "5.6";
  wish.scatter_stops = draw.normal(0, 0.3);
  if (draw.chance(0.25)) wish.compensation = draw.uniform(-2.5, 3);
  return simulator::take(simulator::lit(scene.panorama, 10), view, size, camera, wish);
}

cv::Size frame_pixels(const simulator::FilmFormat& format, double pixel_mm) {
  return {static_cast<int>(format.along / pixel_mm), static_cast<int>(format.across / pixel_mm)};
}

simulator::Strip draw_strip(const Setting& setting, const std::vector<Scene>& scenes, int frames,
                            int first_label, Draw& draw) {
  constexpr double kCappedShare = 0.04;
  simulator::Strip strip;
  strip.format = simulator::film_format(setting.format);
  for (int i = 0; i < frames; ++i) {
    strip.labels.push_back(std::to_string(first_label + i));
    // Cameras' counters slip a little.
    strip.shift.push_back(std::clamp(draw.normal(0, 0.15), -0.4, 0.4));
    if (draw.chance(kCappedShare)) {
      strip.frames.emplace_back();
      continue;
    }
    strip.frames.push_back(
        draw_shot(scenes, frame_pixels(strip.format, setting.scanner.pixel_mm), draw).exposure);
  }
  return strip;
}

simulator::Bed single_bed(const Setting& setting, const std::vector<Scene>& scenes, Draw& draw) {
  const simulator::FilmFormat format = simulator::film_format(setting.format);
  const simulator::Shot shot =
      draw_shot(scenes, frame_pixels(format, setting.scanner.pixel_mm), draw);
  simulator::Seat seat;
  const double longest = std::max(format.along, format.across);
  seat.holder_angle = draw.uniform(-2, 2);
  seat.angle_degrees = std::clamp(seat.holder_angle + draw.normal(0, 0.4), -3.0, 3.0);
  // Corners of film askew in its holder must stay in view.
  const double askew = std::abs(seat.angle_degrees - seat.holder_angle) * longest / 2 * 0.0175;
  seat.margin_along = draw.uniform(0.5, 2) + askew;
  seat.margin_across =
      std::min(draw.uniform(0.5, 2) + askew, (format.film_width - format.across) / 2 + 0.8);
  seat.mask = draw.uniform(1, 3) + std::abs(seat.holder_angle) * longest / 2 * 0.0175;
  seat.off = {draw.uniform(-0.2, 0.2), draw.uniform(-0.2, 0.2)};
  return simulator::one_frame(shot.exposure, format, seat);
}

/// Turns all that lies on the bed about its middle, on a bed that still holds it.
void turn(simulator::Bed& bed, double degrees) {
  const double a = degrees * std::numbers::pi / 180;
  const cv::Point2d middle(bed.size.width / 2, bed.size.height / 2);
  const double more = std::abs(std::sin(a)) * std::max(bed.size.width, bed.size.height) / 2;
  bed.size.width += 2 * more;
  bed.size.height += 2 * more;
  const cv::Point2d moved(more, more);
  for (simulator::Strip& strip : bed.strips) {
    const cv::Point2d p = strip.centre - middle;
    strip.centre =
        middle + moved +
        cv::Point2d(p.x * std::cos(a) + p.y * std::sin(a), -p.x * std::sin(a) + p.y * std::cos(a));
    strip.angle_degrees += degrees;
  }
  for (cv::Rect2d& window : bed.windows) {
    window.x += more;
    window.y += more;
  }
  bed.holder_angle += degrees;
}

simulator::Bed strip_bed(const Setting& setting, const std::vector<Scene>& scenes, Draw& draw) {
  const int frames = setting.least + static_cast<int>(draw.index(setting.most - setting.least + 1));
  simulator::Strip strip = draw_strip(setting, scenes, frames, 1, draw);
  strip.lead = draw.uniform(1.5, 3);
  const double margin = draw.uniform(0.6, 1.6);
  // A strip fills its holder's length: hardly askew in it.
  strip.angle_degrees = std::clamp(draw.normal(0, 0.1), -0.2, 0.2);
  simulator::Bed bed = simulator::one_strip(strip, margin, draw.chance(0.4));
  turn(bed, draw.uniform(-2.8, 2.8));
  return bed;
}

simulator::Bed sheet_bed(const Setting& setting, const std::vector<Scene>& scenes, bool quick,
                         Draw& draw) {
  const int most = simulator::film_format(setting.format).film_width > 40 ? 3 : 6;
  const int strips = quick ? 2 : 2 + static_cast<int>(draw.index(most - 1));
  const int frames = setting.least + static_cast<int>(draw.index(setting.most - setting.least + 1));
  std::vector<simulator::Strip> all;
  std::vector<double> angles;
  for (int i = 0; i < strips; ++i) {
    const int here = i + 1 == strips ? std::max(setting.least - 1, frames - 1) : frames;
    all.push_back(draw_strip(setting, scenes, here, i * frames + 1, draw));
    all.back().lead = draw.uniform(1, 2);
    angles.push_back(std::clamp(draw.normal(0, 0.3), -0.6, 0.6));
  }
  simulator::Bed bed = simulator::sheet(all, draw.uniform(4, 7), draw.chance(0.4), angles);
  turn(bed, draw.uniform(-2.4, 2.4));
  return bed;
}

using validation::corners_of;

Corners corners_of(const simulator::FrameOutline& outline) {
  return {outline.corners.begin(), outline.corners.end()};
}

void judge_frames(AreaOutcome& outcome, const std::vector<simulator::FrameOutline>& truth,
                  const basefog::area::FilmLayout& layout) {
  for (const simulator::FrameOutline& t : truth) {
    if (t.blank) continue;
    ++outcome.frames;
    double best = 0;
    for (const basefog::area::FrameRegion& f : layout.frames) {
      best = std::max(best, common(corners_of(t), corners_of(f)).overlap);
    }
    outcome.found += best > 0.95 ? 1 : 0;
    outcome.least_overlap = std::min(outcome.least_overlap, best);
  }
  for (const basefog::area::FrameRegion& f : layout.frames) {
    double best = 0;
    for (const simulator::FrameOutline& t : truth) {
      best = std::max(best, common(corners_of(f), corners_of(t)).of_first);
    }
    outcome.invented += best < 0.5 ? 1 : 0;
  }
}

/// base: light of clear film at the scan's centre, one a channel.
void judge_base(AreaOutcome& outcome, const std::vector<double>& light,
                const basefog::density::FilmBase& base) {
  outcome.has_base = base.kind != basefog::density::ReferenceKind::none;
  for (std::size_t c = 0; c < base.density.size(); ++c) {
    const double error = base.density[c].value() + std::log10(light[c]);
    if (std::abs(error) < std::abs(outcome.base_error)) continue;
    outcome.base_error = error;
    outcome.base_sigma = base.sigma[c].value();
  }
}

void spoil(simulator::Negative& negative, double angle_degrees, Draw& draw) {
  simulator::add_dust(negative, draw.uniform(0, 12), draw.seed());
  simulator::add_scratches(negative, static_cast<int>(draw.index(5)), draw.seed(), angle_degrees);
  if (draw.chance(0.3)) {
    simulator::add_finger_marks(negative, 1 + static_cast<int>(draw.index(3)), draw.seed());
  }
}

AreaOutcome one_scan(ScanKind kind, int number, const AreaStudyOptions& options,
                     const std::vector<Scene>& scenes, const fs::path& folder) {
  Draw draw(simulator::Noise(options.seed)
                .fork(static_cast<std::uint64_t>(kind))
                .fork(static_cast<std::uint64_t>(number)));
  const Setting setting = draw_setting(kind, options, draw);
  const simulator::Bed bed = kind == ScanKind::strip ? strip_bed(setting, scenes, draw)
                             : kind == ScanKind::sheet
                                 ? sheet_bed(setting, scenes, options.quick, draw)
                                 : single_bed(setting, scenes, draw);
  simulator::Negative negative = simulator::lay_out(bed, setting.film, setting.scanner.pixel_mm);
  spoil(negative, bed.strips.front().angle_degrees, draw);
  simulator::ScanImage image =
      simulator::scan(negative, setting.film, setting.scanner, draw.seed());
  // The scan's own zero is that under the light of its centre.
  for (double& light : image.base_light) light *= 1 - setting.scanner.lean / 2;
  if (kind == ScanKind::cropped) image = simulator::cropped(image, 0, draw.uniform(0.02, 0.08));

  std::ostringstream name;
  name << name_of(kind) << '-' << options.seed << '-' << number << ".tif";
  const fs::path file = folder / name.str();
  simulator::write_tiff(file, image);
  const basefog::scan::Scan scan = basefog::scan::read_scan(file);
  const basefog::area::FilmLayout layout = basefog::area::find_film(scan);
  const std::vector<basefog::density::FrameMeasurement> frames =
      basefog::density::measure_frames(scan, layout);
  if (!options.keep) fs::remove(file);

  AreaOutcome outcome{.kind = kind, .number = number};
  std::ostringstream what;
  what.precision(2);
  what << setting.format << (setting.colour ? " colour" : " gray") << " flare " << setting.flare
       << " over " << setting.scanner.flare_mm << " mm, angle " << bed.strips.front().angle_degrees;
  outcome.what = what.str();
  judge_frames(outcome, image.frames, layout);
  judge_base(outcome, image.base_light, frames.front().rebate);
  outcome.flags = layout.flags;
  for (const basefog::density::FrameMeasurement& frame : frames) outcome.flags.insert(frame.flags);
  const bool doubted = outcome.flags.contains(basefog::Flag::base_doubtful) ||
                       outcome.flags.contains(basefog::Flag::base_implausible) ||
                       outcome.flags.contains(basefog::Flag::automatic_levels);
  outcome.base_flagged =
      doubted || !outcome.has_base || outcome.flags.contains(basefog::Flag::clipped_base);
  return outcome;
}

}  // namespace

std::string_view name_of(ScanKind kind) {
  constexpr std::array<std::string_view, kScanKinds> kNames = {"single", "strip", "sheet",
                                                               "cropped", "clipped"};
  return kNames.at(static_cast<std::size_t>(kind));
}

std::vector<AreaOutcome> run_area_study(ScanKind kind, const AreaStudyOptions& options) {
  const std::vector<Scene> scenes = scenes_in(options.panoramas);
  const ScratchFolder scratch;
  std::vector<AreaOutcome> outcomes;
  for (int i = options.first; i < options.first + options.scans; ++i) {
    outcomes.push_back(one_scan(kind, i, options, scenes, options.keep.value_or(scratch.path())));
  }
  return outcomes;
}

AreaScore score(const std::vector<AreaOutcome>& outcomes) {
  constexpr double kClose = 0.01;
  constexpr double kFar = 0.03;
  AreaScore out;
  for (const AreaOutcome& o : outcomes) {
    ++out.scans;
    if (o.kind == ScanKind::cropped || o.kind == ScanKind::clipped) {
      ++out.no_reference;
      out.refused += o.base_flagged ? 1 : 0;
      continue;
    }
    out.frames += o.frames;
    out.found += o.found;
    out.invented += o.invented;
    out.bases += o.frames;
    const double error = std::abs(o.base_error);
    if (o.has_base && error < kClose) out.close += o.frames;
    out.far_unflagged += error > kFar && !o.base_flagged ? 1 : 0;
  }
  return out;
}

}  // namespace validation

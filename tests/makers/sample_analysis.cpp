// SPDX-License-Identifier: GPL-3.0-or-later
#include "makers/sample_analysis.hpp"

#include <algorithm>
#include <cmath>
#include <random>

namespace basefog {
namespace {

constexpr auto kOpen = std::nullopt;

StopsEstimate between(double value, double low, double high) {
  return {Stops(value), Stops(low), Stops(high)};
}
StopsEstimate at_least(double value, double low) { return {Stops(value), Stops(low), kOpen}; }
StopsEstimate at_most(double value, double high) { return {Stops(value), kOpen, Stops(high)}; }

/// A view drawn in exposures: sky, hills, dark ground, and a light when `lamp`. Stops above the
/// speed point, for a mid-tone 3.3 stops above it.
double drawn_exposure(double x, double y, bool lamp) {
  const double hills = 0.45 + 0.08 * std::sin(9 * x) + 0.05 * std::sin(23 * x + 1);
  double stops = y < hills ? 5.2 - 1.2 * y : 3.0 - 2.6 * (y - hills) + 0.6 * std::sin(60 * x * y);
  if (x > 0.62 && x < 0.7 && y > 0.3 && y < 0.8) stops = 1.2;
  if (lamp && std::hypot(x - 0.25, (y - 0.25) * 0.67) < 0.06) stops = 10;
  return stops;
}

/// The view on film. The curve is drawn for this picture only: a soft toe and 0.62 a log unit.
density::NegativePicture draw(int long_side, int channels, double stops, bool lamp) {
  density::NegativePicture picture;
  picture.width = long_side;
  picture.height = long_side * 2 / 3;
  picture.channels = channels;
  std::minstd_rand random(static_cast<unsigned>(long_side + channels));
  std::uniform_real_distribution<double> grain(-0.035, 0.035);
  for (int c = 0; c < channels; ++c) {
    const double base = channels == 1 ? 0.28 : 0.25 + 0.32 * c;
    for (int y = 0; y < picture.height; ++y) {
      for (int x = 0; x < picture.width; ++x) {
        const double exposure =
            drawn_exposure((x + 0.5) / picture.width, (y + 0.5) / picture.height, lamp) + stops;
        const double net = 0.19 * std::log2(1 + std::exp2(exposure - 0.3));
        picture.millidensity.push_back(static_cast<std::uint16_t>(
            std::lround(1000 * std::max(0.0, base + net + grain(random)))));
      }
    }
  }
  return picture;
}

reading::StopsHistogram bell(double centre, double spread) {
  reading::StopsHistogram histogram;
  histogram.first = ExposureFromAim(-6);
  histogram.speed_point = ExposureFromAim(-3.34);
  histogram.highlight_limit = ExposureFromAim(5.2);
  double total = 0;
  for (int i = 0; i < 48; ++i) {
    const double stops = -6 + 0.25 * (i + 0.5);
    histogram.share.push_back(
        static_cast<float>(std::exp(-0.5 * std::pow((stops - centre) / spread, 2))));
    total += histogram.share.back();
  }
  for (float& share : histogram.share) share = static_cast<float>(share / total);
  return histogram;
}

roll::FrameResult scanned(const std::string& file, const std::string& label) {
  roll::FrameResult frame;
  frame.measurement.file = file;
  frame.measurement.label = label;
  frame.measurement.region = {600, 400, 1100, 740, 0.4};
  frame.measurement.edges_found = true;
  frame.measurement.scan_width = 1200;
  frame.measurement.scan_height = 800;
  frame.measurement.response.source.name = "linear";
  frame.state = density::FrameState::measured;
  frame.reference = {density::ReferenceKind::rebate,
                     {Density::from_value(0.28)},
                     {DensityDifference(0.004)},
                     FlagSet{}};
  return frame;
}

roll::FrameResult measured(const std::string& file, const std::string& label,
                           StopsEstimate exposure, StopsEstimate correction,
                           reading::Verdict verdict, int long_side = 120) {
  roll::FrameResult frame = scanned(file, label);
  reading::FrameReading reading;
  reading.exposure.estimate = from_stops<ExposureFromAim>(exposure);
  reading.exposure.budget = {0.05, 0.0, 0.12, 0.06, 0.09, 0.0, 0.02};
  const double e = exposure.value.value();
  reading.shadow_reserve.estimate = from_stops<ExposureAboveSpeedPoint>(
      e < -1 ? at_most(-1, -0.8) : between(0.9 + e, 0.6 + e, 1.2 + e));
  reading.highlight_reach.estimate =
      from_stops<ExposureAboveSpeedPoint>(between(6.1 + e, 5.7 + e, 6.5 + e));
  reading.highlight_room.estimate = between(2.4 - e, 1.9 - e, 2.9 - e);
  reading.correction.estimate = correction;
  reading.verdict = verdict;
  reading.lost_in_shadows = e < -1 ? 0.18 : 0.01;
  reading.lost_in_highlights = e > 2 ? 0.09 : 0.0;
  reading.histogram = bell(e - 0.4, 1.3);
  frame.reading = reading;
  const bool lamp = e > -0.3 && verdict == reading::Verdict::strongly_under;
  frame.measurement.negative = draw(long_side, 1, e, lamp);
  frame.measurement.overview = draw(std::min(long_side, 360), 1, e, lamp);
  return frame;
}

log::LogRow row(const std::string& frame, double shutter, double aperture,
                const std::string& scene) {
  log::LogRow written;
  written.frame = frame;
  written.used = {ShutterTime(shutter), FNumber(aperture)};
  written.ei = FilmSpeed(400);
  written.mode = log::ExposureMode::aperture_priority;
  written.scene = scene;
  return written;
}

void expect(roll::FrameResult& frame, std::size_t log_row, double expected, double light_ev) {
  frame.log_row = log_row;
  frame.expected = ExposureFromAim(expected);
  frame.scene_ev = between(light_ev, light_ev - 0.4, light_ev + 0.4);
  if (!frame.reading) return;
  const StopsEstimate e = in_stops(frame.reading->exposure.estimate);
  const auto less = [expected](std::optional<Stops> end) {
    return end ? std::optional(*end - Stops(expected)) : std::nullopt;
  };
  frame.deviation = StopsEstimate{e.value - Stops(expected), less(e.low), less(e.high)};
  frame.technique = frame.reading->correction.estimate.value + frame.deviation->value;
}

std::vector<roll::FrameResult> sample_frames() {
  std::vector<roll::FrameResult> frames;
  frames.push_back(scanned("scans/roll07_00.tif", "0"));
  frames.back().state = density::FrameState::blank;
  frames.back().flags = {Flag::blank};
  frames.push_back(measured("scans/roll07_01.tif", "1", between(-0.62, -0.9, -0.34),
                            between(0.1, -0.2, 0.4), reading::Verdict::well_exposed));
  frames.push_back(measured("scans/roll07_02.tif", "2", between(-1.4, -1.7, -1.1),
                            between(0.8, 0.5, 1.1), reading::Verdict::under));
  frames.push_back(measured("scans/roll07_03.tif", "3", between(1.31, 1.0, 1.6),
                            between(-0.96, -1.3, -0.6), reading::Verdict::over));
  frames.push_back(measured("scans/roll07_04.tif", "4", between(-0.04, -0.3, 0.2),
                            at_least(1.9, 1.54), reading::Verdict::strongly_under));
  frames.push_back(measured("scans/roll07_05.tif", "5", at_least(3.4, 2.9), at_most(-2.2, -1.8),
                            reading::Verdict::strongly_over));
  frames.back().flags = {Flag::beyond_scan_range, Flag::highlights_on_shoulder};
  frames.push_back(scanned("scans/roll07_06.tif", "6"));
  frames.back().state = density::FrameState::no_reference;
  frames.back().reference = {};
  frames.back().flags = {Flag::no_reference};
  frames.push_back(scanned("scans/roll07_07.tif", "7"));
  frames.back().state = density::FrameState::positive;
  frames.back().reference = {};
  frames.back().flags = {Flag::positive};
  frames.push_back(roll::FrameResult{});
  frames.back().measurement.file = kHostileFile;
  frames.back().measurement.label = "8";
  frames.back().flags = {Flag::unreadable_file};
  frames.push_back(measured("scans/roll07_09.tif", "9", between(-0.7, -1.0, -0.4),
                            between(-0.0001, -0.3, 0.3), reading::Verdict::well_exposed));
  frames.back().flags = {Flag::no_log_row};
  frames.push_back(measured("scans/roll07_10.tif", "10", between(-0.55, -0.8, -0.3),
                            between(0.45, 0.1, 0.8), reading::Verdict::well_exposed));
  frames.push_back(measured("scans/roll07_11.tif", "11", between(0.2, -0.1, 0.5),
                            between(-0.1, -0.5, 0.3), reading::Verdict::well_exposed));
  frames.push_back(measured("scans/roll07_12.tif", "12", between(-3.4, -4.1, -2.9),
                            between(3.1, 2.6, 3.9), reading::Verdict::strongly_under));
  frames.back().flags = {Flag::shadows_on_base};
  frames.push_back(measured("scans/a folder with a long name/roll07_13.tif", "13",
                            between(-0.6, -0.9, -0.3), between(0.2, -0.1, 0.5),
                            reading::Verdict::well_exposed));
  frames.back().flags = {Flag::match_doubtful};
  return frames;
}

log::ShotLog sample_log() {
  log::ShotLog log;
  log.path = "roll07.csv";
  log.camera = "bench camera";
  log.film_speed = FilmSpeed(400);
  log.rows.push_back(row("0", 1.0 / 60, 8, "lead-in"));
  log.rows.back().no_picture = true;
  log.rows.push_back(row("1", 1.0 / 125, 8, "street"));
  log.rows.push_back(row("2", 1.0 / 30, 2.8, "arcade"));
  log.rows.push_back(row("3", 1.0 / 500, 4, "square"));
  log.rows.push_back(row("4", 1.0 / 60, 5.6, "lamps"));
  log.rows.push_back(row("5", 1.0 / 500, 2, "snow"));
  log.rows.back().compensation = Stops(1.5);
  log.rows.push_back(row("6", 1.0 / 60, 8, ""));
  log.rows.push_back(row("10", 1.0 / 250, 8, kHostileScene));
  log.rows.back().note = kHostileNote;
  log.rows.push_back(row("11", 1.0 / 250, 11, "pont, lumière d'après-midi très douce 写真"));
  log.rows.back().compensation = Stops(1);
  log.rows.push_back(row("12", 1.0 / 8, 2.8, "cellar"));
  log.rows.back().mode = log::ExposureMode::manual;
  log.rows.push_back(row("13", 1.0 / 125, 5.6, "street"));
  log.rows.push_back(row("14", 1.0 / 125, 5.6, "street"));
  return log;
}

meter::MeterBias sample_meter() {
  meter::MeterBias meter;
  meter.bias = between(-0.62, -0.83, -0.41);
  meter.effects = {{meter::BiasFactor::shutter, "1/30", between(0.02, -0.3, 0.34), 1},
                   {meter::BiasFactor::shutter, "1/125", between(-0.01, -0.25, 0.23), 2},
                   {meter::BiasFactor::shutter, "1/500", between(0.81, 0.48, 1.14), 2},
                   {meter::BiasFactor::aperture, "f/2", between(0.1, -0.3, 0.5), 1},
                   {meter::BiasFactor::aperture, "f/5.6", between(0.03, -0.2, 0.26), 2},
                   {meter::BiasFactor::aperture, "f/8", between(-0.04, -0.3, 0.22), 2},
                   {meter::BiasFactor::light_level, "per EV", between(-0.03, -0.12, 0.06), 9}};
  meter.not_identifiable = {{meter::Confounded::meter_speed_development, {}, {}}};
  meter.scatter = 0.21;
  meter.frames_used = 8;
  return meter;
}

}  // namespace

roll::Analysis sample_analysis_without_log() {
  roll::Analysis analysis;
  analysis.aim.film_speed = FilmSpeed(400);
  analysis.film = film::generic_black_and_white(FilmSpeed(400));
  analysis.frames = sample_frames();
  std::erase_if(analysis.frames,
                [](const roll::FrameResult& f) { return f.state == density::FrameState::blank; });
  for (const roll::FrameResult& frame : analysis.frames) {
    for (Flag flag : frame.flags.list()) {
      analysis.warnings.push_back({frame.measurement.file, flag});
    }
  }
  analysis.warnings.push_back({std::nullopt, Flag::contrast_unknown});
  return analysis;
}

roll::Analysis sample_analysis() {
  roll::Analysis analysis = sample_analysis_without_log();
  analysis.frames = sample_frames();
  analysis.log = sample_log();
  matching::Matching matching;
  matching.confidence = 0.97;
  matching.frames.resize(analysis.frames.size());
  matching.unmatched_rows = {11};
  matching.unmatched_frames = {7, 8, 9};
  matching.number_offset = -1;
  analysis.matching = matching;
  analysis.meter = sample_meter();

  expect(analysis.frames[1], 1, 0, 12.1);
  expect(analysis.frames[2], 2, 0, 6.0);
  expect(analysis.frames[3], 3, 0, 12.0);
  expect(analysis.frames[4], 4, 0, 9.0);
  expect(analysis.frames[5], 5, 1.5, 10.4);
  analysis.frames[6].log_row = 6;
  expect(analysis.frames[10], 7, 0, 12.2);
  expect(analysis.frames[11], 8, 1, 13.3);
  expect(analysis.frames[12], 9, 0, 3.1);
  expect(analysis.frames[13], 10, 0, 11.2);
  analysis.frames[0].log_row = 0;

  const meter::MeterBias& meter = *analysis.meter;
  analysis.next_roll = plan::NextRoll{
      .state = plan::PlanState::change,
      .dialled = FilmSpeed(400),
      .dial = {FilmSpeed(250), FilmSpeed(250), Stops(0)},
      .add = {{plan::AllowanceFor::shutter, "1/500", Stops(-2.0 / 3), between(0.75, 0.45, 1.05), 4},
              {plan::AllowanceFor::scene, "lamps", Stops(5.0 / 3), between(1.6, 0.9, 2.3), 3}},
      .expected_error = {.before = 0.72, .after = 0.41},
      .chance_better = 0.93,
      .bias = *meter.bias,
      .frames = meter.frames_used};
  analysis.advice = {roll::TestContrast{0.1}, roll::Caution{false}};
  return analysis;
}

roll::Analysis sample_colour_analysis() {
  roll::Analysis analysis;
  analysis.aim.film_speed = FilmSpeed(200);
  analysis.film = film::generic_colour_negative(FilmSpeed(200));
  for (int i = 0; i < 3; ++i) {
    roll::FrameResult frame = measured(i < 2 ? "strip.tif" : "single.tif", "",
                                       between(0.1 * i, 0.1 * i - 0.3, 0.1 * i + 0.3),
                                       between(0.0, -0.3, 0.3), reading::Verdict::well_exposed);
    frame.measurement.index = i < 2 ? i : 0;
    frame.measurement.negative = draw(120, 3, 0.1 * i, false);
    frame.measurement.overview = draw(120, 3, 0.1 * i, false);
    frame.reference.density = {Density::from_value(0.25), Density::from_value(0.57),
                               Density::from_value(0.89)};
    frame.reference.sigma = {DensityDifference(0.004), DensityDifference(0.005),
                             DensityDifference(0.006)};
    analysis.frames.push_back(std::move(frame));
  }
  return analysis;
}

roll::Analysis sample_long_roll(int frames, int long_side) {
  roll::Analysis analysis;
  analysis.aim.film_speed = FilmSpeed(400);
  analysis.film = film::generic_black_and_white(FilmSpeed(400));
  for (int i = 0; i < frames; ++i) {
    const double e = -1.5 + 3.0 * i / frames;
    analysis.frames.push_back(measured("roll/" + std::to_string(i + 1) + ".tif",
                                       std::to_string(i + 1), between(e, e - 0.3, e + 0.3),
                                       between(-e, -e - 0.3, -e + 0.3),
                                       e < -0.5  ? reading::Verdict::under
                                       : e < 0.5 ? reading::Verdict::well_exposed
                                                 : reading::Verdict::over,
                                       long_side));
  }
  return analysis;
}

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
// The method, from scans to advice, in the order in which it is done. Each step is one call to the
// place that knows how.
#include "basefog/roll/analysis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/log/scene_light.hpp"
#include "reading/metering.hpp"
#include "roll/film_choice.hpp"
#include "roll/film_hues.hpp"
#include "roll/film_on_roll.hpp"
#include "roll/frame_replacements.hpp"
#include "roll/frame_rows.hpp"
#include "roll/log_comparison.hpp"
#include "roll/measure_roll.hpp"
#include "roll/references.hpp"
#include "roll/response_check.hpp"
#include "scan/scan_files.hpp"

namespace basefog::roll {
namespace {

void read_frames(Analysis& analysis, const reading::ReadingOptions& options) {
  for (FrameResult& frame : analysis.frames) {
    if (frame.state != density::FrameState::measured) continue;
    if (frame.reading) frame.flags.erase(frame.reading->flags);
    reading::ReadingOptions own = options;
    if (frame.log_row) {
      own.pattern =
          reading::pattern_named(analysis.log->rows[*frame.log_row].metering).value_or(own.pattern);
    }
    frame.reading =
        reading::read_frame(frame.measurement, frame.reference, analysis.film, analysis.aim, own);
    frame.flags.insert(frame.reading->flags);
  }
}

/// What the command says of the meter, and where it says nothing the camera file.
reading::ReadingOptions reading_options(const ReviewOptions& options) {
  reading::ReadingOptions reading = options.reading;
  if (reading.pattern == MeteringPattern::unknown && options.camera) {
    reading.pattern = options.camera->pattern;
  }
  return reading;
}

bool rows_name_patterns(const log::ShotLog& log) {
  return std::ranges::any_of(log.rows, [](const log::LogRow& row) {
    return reading::pattern_named(row.metering).has_value();
  });
}

void report_log_remarks(Analysis& analysis) {
  for (const log::LogRemark& remark : analysis.log->remarks) {
    Warning warning = make_warning(analysis.log->path, Flag::log_value_doubtful);
    warning.text = fmt::format("Line {}, {} \"{}\": {}", remark.line, remark.column, remark.value,
                               remark.text);
    analysis.warnings.push_back(std::move(warning));
  }
}

/// One warning a file and flag, so that a roll of 36 says a thing that all frames share once.
void collect_warnings(Analysis& analysis) {
  for (const FlagText& text : all_flags()) {
    const auto has_flag = [&](const FrameResult& frame) {
      return frame.flags.contains(text.flag) && text.flag != Flag::unreadable_file;
    };
    const auto count = static_cast<std::size_t>(
        std::count_if(analysis.frames.begin(), analysis.frames.end(), has_flag));
    const bool told = std::any_of(
        analysis.warnings.begin(), analysis.warnings.end(),
        [&](const Warning& warning) { return warning.flag == text.flag && !warning.file; });
    if (count == 0 || told) continue;
    if (count == analysis.frames.size()) {
      analysis.warnings.push_back(make_warning(std::nullopt, text.flag));
      continue;
    }
    for (const FrameResult& frame : analysis.frames) {
      if (!has_flag(frame)) continue;
      Warning warning = make_warning(frame.measurement.file, text.flag);
      if (text.flag == Flag::log_contradicts_scene) {
        warning.text =
            *log::scene_contradiction(analysis.log->rows[*frame.log_row], *frame.scene_ev);
      }
      const bool said = std::ranges::any_of(analysis.warnings, [&](const Warning& other) {
        return other.file == warning.file && other.flag == warning.flag &&
               other.text == warning.text;
      });
      if (!said) analysis.warnings.push_back(std::move(warning));
    }
  }
}

/// The index at which the middle of the matched rows was exposed.
std::optional<FilmSpeed> dialled_index(const Analysis& analysis) {
  std::vector<FilmSpeed> indices;
  for (const FrameResult& frame : analysis.frames) {
    if (!frame.log_row) continue;
    if (const auto& ei = analysis.log->rows[*frame.log_row].ei) indices.push_back(*ei);
  }
  if (indices.empty()) return std::nullopt;
  std::sort(indices.begin(), indices.end());
  return indices[indices.size() / 2];
}

AdviceBasis advice_basis(const Analysis& analysis) {
  const auto without_zero =
      std::ranges::count(analysis.frames, density::FrameState::no_reference, &FrameResult::state);
  return {.film = analysis.film,
          .camera = analysis.camera,
          .dialled = dialled_index(analysis),
          .meter = analysis.meter,
          .techniques = analysis.techniques,
          .frames = analysis.frames.size(),
          .frames_without_zero = static_cast<std::size_t>(without_zero)};
}

/// What the photographer wrote. Read before the scans, so that a slip shows at once.
struct Written {
  std::vector<matching::FixedPair> fixed;
  std::optional<log::ShotLog> log;
};

Written read_written(const ReviewOptions& options) {
  Written written;
  if (options.match) written.fixed = matching::read_match_file(*options.match);
  if (options.log) {
    written.log = log::read_shot_log(*options.log);
    if (options.camera) log::check_against_camera(*written.log, *options.camera);
  }
  return written;
}

Analysis review_roll(std::vector<density::ScanRecord> scans, Written written,
                     const ReviewOptions& options) {
  Analysis analysis;
  analysis.camera = options.camera;
  analysis.log = std::move(written.log);
  if (analysis.log) report_log_remarks(analysis);
  analysis.frames = frames_of(std::move(scans), analysis.warnings);

  // Settings that the scans carry stand in where there is no log.
  if (!analysis.log) analysis.log = log_from_scans(analysis.frames);

  // The roll together: which film, and the density zero of each frame.
  analysis.film = choose_film(analysis.frames, analysis.log, options, analysis.warnings);
  allow_for_push(analysis);
  analysis.aim = {.q = options.aim_q, .k = options.aim_k, .film_speed = analysis.film.iso_speed};
  give_references(analysis.frames, options);
  check_response(analysis);
  if (!options.film) check_hues(analysis);

  // What all frames share is told by all together: how long the ranges of their scenes look.
  const film::FilmProfile chosen = analysis.film;
  reading::ReadingOptions reading = reading_options(options);
  weigh_scene_ranges(analysis, reading);

  // Net density through the film's curve to exposure, and the four answers.
  analysis.metering = reading.pattern;
  read_frames(analysis, reading);

  // What was asked for, what was done instead, and what to do about it.
  if (analysis.log) {
    match_with_log(analysis, fix_rows(analysis, written.fixed, options.match.value_or("")));
    // Series of exposures on the roll measure the film's contrast; all is then read through it, and
    // with the metering that rows name.
    const bool learned = learn_film(analysis, chosen);
    if (learned) weigh_scene_ranges(analysis, reading);
    if (learned || rows_name_patterns(*analysis.log)) read_frames(analysis, reading);
    compare_with_log(analysis);
    analysis.meter = meter::fit_meter_bias(deviation_samples(analysis));
    analysis.techniques = meter::fit_technique(technique_samples(analysis));
    replace_settings(analysis);
  } else if (options.match) {
    throw InputError(ErrorCode::usage, *options.match, "pairs scans with rows, and there is no log",
                     "give the roll's log with --log");
  }
  analysis.development = judge_development(analysis);
  describe_film(analysis);
  collect_warnings(analysis);
  analysis.advice = advise(advice_basis(analysis));
  return analysis;
}

}  // namespace

Analysis review(const std::vector<std::filesystem::path>& scans, const ReviewOptions& options) {
  const std::vector<std::filesystem::path> files = scan::find_scans(scans);
  scan::refuse_too_many(files.size(), scans.front());
  Written written = read_written(options);
  return review_roll(measure_scans(files, options), std::move(written), options);
}

Analysis review_records(std::vector<density::ScanRecord> scans, const ReviewOptions& options) {
  return review_roll(std::move(scans), read_written(options), options);
}

}  // namespace basefog::roll

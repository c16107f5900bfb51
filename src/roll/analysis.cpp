// SPDX-License-Identifier: GPL-3.0-or-later
// The method, read from top to bottom, as a chain of values:
//
//   measured scans      densities on every frame; settings in the scans where there is no log
//   referenced frames   each frame's density zero, the clear film that the others are net of
//   film                the curve from density to exposure, and how well it is known
//   readings            exposure, shadow reserve, highlight room and correction of each frame
//   rows                which row of the log each frame belongs to
//   the camera          exposure against what was asked for: bias, effects, technique
//   what to do next     settings that would have helped, the plan for the next roll, advice
//
// Every step takes values and returns a value; none changes what an earlier one found. Readings and
// film are gone through twice: frames must be read to find their rows, and rows may show that some
// of the frames are one view at several exposures, from which the film is known better.
#include "basefog/roll/analysis.hpp"

#include <utility>

#include "basefog/roll/roll_film.hpp"
#include "roll/camera_findings.hpp"
#include "roll/film_choice.hpp"
#include "roll/film_on_roll.hpp"
#include "roll/frame_readings.hpp"
#include "roll/frame_replacements.hpp"
#include "roll/frame_results.hpp"
#include "roll/frame_rows.hpp"
#include "roll/log_comparison.hpp"
#include "roll/measure_roll.hpp"
#include "roll/references.hpp"
#include "roll/response_evidence.hpp"
#include "roll/roll_doubts.hpp"
#include "roll/roll_warnings.hpp"
#include "roll/row_questions.hpp"
#include "roll/what_next.hpp"
#include "scan/scan_files.hpp"

namespace basefog::roll {
namespace {

/// The roll's name: as given, else the log's, else that of the folder of its scans.
std::string name_of_roll(std::span<const ReferencedFrame> frames,
                         const std::optional<log::ShotLog>& log, const ReviewOptions& options) {
  if (!options.roll_name.empty()) return options.roll_name;
  if (log && !log->roll.empty()) return log->roll;
  if (frames.empty()) return "";
  return std::filesystem::absolute(frames.front().measurement.file)
      .parent_path()
      .filename()
      .string();
}

/// The scans and all other files that the review rests on.
std::vector<InputFile> all_inputs(std::vector<InputFile> scans, const ReviewOptions& options) {
  const auto add = [&scans](const char* role, const std::optional<std::filesystem::path>& file) {
    if (file) scans.push_back({role, *file, density::sum_of_file(*file)});
  };
  add("light", options.measure.read.light);
  add("base_scan", options.base_scan);
  add("log", options.log);
  add("match", options.match);
  scans.insert(scans.end(), options.read_from.begin(), options.read_from.end());
  return scans;
}

/// The frames of a roll read through its film.
struct RollOnFilm {
  RollFilm film;
  MatchedLog rows;
  RollReadings readings;
  film::FilmEvidence evidence;  ///< of series and readings, counted from the film's form
};

RollOnFilm read_on_film(std::span<const ReferencedFrame> frames, const MatchedLog& matched,
                        const KnownFilm& known, const ReviewOptions& options) {
  RollOnFilm read{.film = learn_from_series(frames, matched, known)};
  read.rows = vouched_by_series(matched, read.film);
  read.readings = read_frames(frames, read.film.profile, options, read.rows);
  read.evidence = read.film.evidence;
  read.evidence += film::counted_from(read.readings.evidence, read.film.place);
  return read;
}

Analysis review_measured(MeasuredScans scans, Written given, const ReviewOptions& options) {
  const Written written = or_from_scans(std::move(given), scans.frames);
  std::vector<ReferencedFrame> frames = reference_frames(std::move(scans.frames), options);

  // The film as named or seen, and as earlier rolls or the log's word on development have it.
  const std::string name = name_of_roll(frames, written.log, options);
  const ChosenFilm chosen = choose_film(frames, written.log, options);
  const KnownFilm known = known_film(chosen, written.log, options, name);
  const std::vector<RollDoubt> doubts = doubts_of_roll(frames, known.profile, options);

  // A first reading finds the rows; what they say, and the film that exposure series show, then
  // give the readings.
  const MatchedLog matched = match_rows(frames, read_frames(frames, known.profile, options).frames,
                                        known.profile, written);
  RollOnFilm read = read_on_film(frames, matched, known, options);
  const bool unlike = known.memory && memory::is_unlike(known.memory->roll, read.evidence);
  if (unlike) read = read_on_film(frames, matched, as_if_new(known, written.log, name), options);
  const RollFilm& film = read.film;
  const MatchedLog& rows = read.rows;
  const FrameReadings& readings = read.readings.frames;

  // What the camera did against what was asked of it.
  const std::vector<LoggedFrame> logged = compare_with_log(frames, readings, rows, film.profile);
  const CameraFindings camera = judge_camera(logged, rows, film.profile);
  const bool response_open = is_torn(scans.tone_curve);
  const std::vector<Question> questions =
      response_open ? ask_for_response(scans.tone_curve)
                    : ask_for_rows(frames, readings, film.profile, written, rows);

  // What to do next: frame by frame, and on the next roll.
  std::vector<FrameResult> results =
      frame_results({.frames = std::move(frames),
                     .readings = readings,
                     .rows = rows,
                     .logged = logged,
                     .replacements = replace_settings(logged, camera.meter, options.camera),
                     .doubts = doubts});
  const Aim aim = aim_of(film.profile, options);
  auto development = judge_development(results, film, read.readings.contrast, aim);
  if (development) development->developed_by = developed_by(known.use);
  const WhatNext next =
      decide_what_next(results, camera, rows, questions, film.profile, options.camera);
  const std::vector<Warning> warnings = with_frame_warnings(
      joined({log_warnings(rows.log, written.failure), scans.failures, chosen.warnings,
              warnings_of(known, unlike), warnings_of(doubts)}),
      results, rows.log);

  return {.aim = aim,
          .film = film.profile,
          .name = name,
          .film_use = known.use,
          .film_form = known.form,
          .film_evidence = read.evidence,
          .of_series = film.evidence,
          .film_belief = {film.place, film::belief_in(film.profile).covariance},
          .kept = read.readings.kept,
          .memory = unlike ? std::nullopt : known.memory,
          .metering = metering_of(options),
          .frames = std::move(results),
          .log = rows.log,
          .matching = rows.matching,
          .camera = options.camera,
          .series = film.series,
          .development = development,
          .meter = camera.meter,
          .techniques = camera.techniques,
          .deviations = camera.deviations,
          .technique_samples = camera.technique_samples,
          .questions = questions,
          .dialled = camera.dialled,
          .next_roll = next.next_roll,
          .advice = next.advice,
          .warnings = warnings,
          .inputs = all_inputs(std::move(scans.files), options),
          .stated = options.stated,
          .measure = options.measure};
}

}  // namespace

Analysis review(const std::vector<std::filesystem::path>& scans, const ReviewOptions& options) {
  const std::vector<std::filesystem::path> files = scan::find_scans(scans);
  scan::refuse_too_many(files.size(), scans.front());
  Written written = read_written(options);  // before the scans, so that a slip shows at once
  return review_measured(measure_scans(files, options), std::move(written), options);
}

Analysis review_records(std::vector<density::ScanRecord> records, const ReviewOptions& options) {
  return review_measured(measured_before(std::move(records)), read_written(options), options);
}

}  // namespace basefog::roll

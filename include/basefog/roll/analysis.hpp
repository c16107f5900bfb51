// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "basefog/density/density.hpp"
#include "basefog/density/scan_record.hpp"
#include "basefog/ensemble/roll_reading.hpp"
#include "basefog/evidence/exposure_series.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/log/equivalents.hpp"
#include "basefog/log/log.hpp"
#include "basefog/matching/matching.hpp"
#include "basefog/memory/film_memory.hpp"
#include "basefog/meter/bias_history.hpp"
#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"
#include "basefog/plan/next_roll.hpp"
#include "basefog/reading/frame_reading.hpp"
#include "basefog/roll/advice.hpp"
#include "basefog/roll/question.hpp"
#include "basefog/roll/roll_development.hpp"
#include "basefog/roll/warning.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::roll {

/// One frame of a reviewed roll: what was measured, what it says, what the log says.
struct FrameResult {
  density::FrameMeasurement measurement;                        ///< what the scan alone says
  density::FrameState state = density::FrameState::unreadable;  ///< with the roll's references
  density::FilmBase reference;                   ///< the one used; kind none where there was none
  std::optional<reading::FrameReading> reading;  ///< only for FrameState::measured
  std::optional<std::size_t> log_row;            ///< index into Analysis::log->rows
  std::optional<ExposureFromAim> expected;       ///< what the settings asked for, reciprocity off
  /// Standard deviation of `expected` by the film's failure of reciprocity: one error for all
  /// frames of the film, in proportion to each one's loss. It is in the deviation's interval.
  Stops expected_sigma{0};
  std::optional<StopsEstimate> deviation;  ///< exposure less expected; what camera and film did
  std::optional<Stops> technique;         ///< correction plus deviation; absent without one of them
  std::optional<StopsEstimate> scene_ev;  ///< scene luminance as EV at ISO 100
  /// Settings that would have given the picture what it needed; empty where it was well exposed or
  /// where the log does not say what was set.
  log::Replacements replacements;
  FlagSet flags;  ///< all that apply to this frame
};

/// A file that the numbers depend on.
struct InputFile {
  /// "scan", "light", "base_scan", "log", "match", "camera", "film" or "response".
  std::string role;
  std::filesystem::path path;           ///< as given
  std::optional<density::FileSum> sum;  ///< absent for what is no file, or is there no more
};

/// What a person or a settings file said of the roll, in the program's own words: "layout",
/// "sheet,24x36".
struct StatedOption {
  std::string name;   ///< of the option, without its hyphens
  std::string value;  ///< as given
};

/// A reviewed roll: everything that a report may show.
struct Analysis {
  Aim aim;                      ///< what exposures count from
  film::FilmProfile film;       ///< that frames were read through
  std::string name;             ///< the roll's: as given, else the log's, else that of its folder
  memory::FilmUse film_use;     ///< film and development as written
  film::FilmProfile film_form;  ///< what `film_evidence` counts from
  film::FilmEvidence film_evidence;  ///< what the roll itself says of its film
  film::FilmEvidence of_series;      ///< of it, what exposure series say
  film::FilmBelief film_belief;      ///< of the film before the frames were read, from the form
  std::vector<ensemble::KeptFrame> kept;     ///< one a frame, empty where it was not read
  std::optional<memory::FilmMemory> memory;  ///< what earlier rolls say of it
  MeteringPattern metering = MeteringPattern::unknown;  ///< as which the frames were read
  std::vector<FrameResult> frames;                      ///< in film order
  /// With an empty path where its rows come from the scans themselves.
  std::optional<log::ShotLog> log;
  std::optional<matching::Matching> matching;  ///< absent without rows
  std::optional<log::Camera> camera;           ///< what its file says, where one was given
  /// What exposure series on the roll say of the film; absent where there are none.
  std::optional<evidence::SeriesContrast> series;
  /// Whether the roll looks wrongly exposed or wrongly developed.
  std::optional<RollDevelopment> development;
  std::optional<meter::MeterBias> meter;          ///< absent without rows of this roll
  std::vector<meter::SceneTechnique> techniques;  ///< by scene word; empty without a log
  /// What `meter` and `techniques` were learned from, for a ledger to keep.
  std::vector<meter::DeviationSample> deviations;
  std::vector<meter::TechniqueSample> technique_samples;  ///< for `techniques` alone
  std::vector<Question> questions;   ///< what only the person can tell, most important first
  std::optional<FilmSpeed> dialled;  ///< at the middle of the matched rows; absent: not logged
  std::optional<plan::NextRoll>
      next_roll;                     ///< how to expose the next one; wherever there is a bias
  std::vector<Advice> advice;        ///< what to do besides
  std::vector<Warning> warnings;     ///< to say to the user, about files and the roll
  std::vector<InputFile> inputs;     ///< scans first, in the order that they were read in
  std::vector<StatedOption> stated;  ///< as in the options
  /// How the scans were to be measured, for who wants a frame's picture larger than was kept.
  density::MeasureOptions measure;
  /// The same camera's roll before this one on the same film, where a ledger has it.
  std::optional<meter::PreviousRoll> previous_roll;
};

/// What a review is told beside the scans; what is not said is found or assumed, and then flagged.
struct ReviewOptions {
  density::MeasureOptions measure;             ///< how scans are read and kept
  std::optional<std::filesystem::path> log;    ///< absent: the scans' own settings, if any
  std::optional<std::filesystem::path> match;  ///< pairs of frames and rows that the user fixed
  /// What the camera can be set to and how it meters. Its pattern stands in where reading.pattern
  /// is unknown; the log is held against its marks.
  std::optional<log::Camera> camera;
  /// Film kind or profile; black-and-white unless the scans are in colour.
  std::optional<film::FilmProfile> film;
  std::optional<FilmSpeed> film_speed;      ///< over the log's and the profile's
  std::string roll_name;                    ///< over the log's own name of the roll
  memory::FilmUse film_use;                 ///< film and development, over the log's own lines
  std::vector<memory::FilmLesson> lessons;  ///< of earlier rolls, of whatever film
  /// A scan of clear film alone under the roll's locked exposure; the density zero of frames that
  /// show none of their own.
  std::optional<std::filesystem::path> base_scan;
  /// The density zero of all frames, over all others, where they show nothing clearer.
  std::optional<density::GivenBase> base;
  double aim_k = 12.5;               ///< K of Aim, cd/m²
  double aim_q = 0.65;               ///< q of Aim
  reading::ReadingOptions reading;   ///< how the camera's meter weighs the frame
  int threads = 0;                   ///< 0: one a core
  std::vector<InputFile> read_from;  ///< what camera, film and response were read from, to be named
  std::vector<StatedOption> stated;  ///< to be named in what is written; nothing follows from it
  /// Called from the calling thread after each scan, with how many are done of how many.
  std::function<void(std::size_t done, std::size_t total, const std::filesystem::path&)> progress;
};

/// Reviews the frames of one roll. scans: files and folders. One bad file never sinks the roll.
/// Throws InputError for what makes the whole review impossible: no scans, a log that cannot be
/// read, a match file that names no scan or row of the roll, a base scan that shows a picture.
Analysis review(const std::vector<std::filesystem::path>& scans, const ReviewOptions& options);

/// The same from scans that were measured before, in the order of the roll. Of the options those
/// for reading scans have no effect.
Analysis review_records(std::vector<density::ScanRecord> records, const ReviewOptions& options);

}  // namespace basefog::roll

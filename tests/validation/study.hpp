// SPDX-License-Identifier: GPL-3.0-or-later
// A study of how true the readings and their intervals are: simulated rolls of real panoramas, made
// with tabulated films whose own curve the estimator is not told, scanned, written, read and
// judged.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "basefog/reading/frame_reading.hpp"
#include "simulator/truth.hpp"

namespace validation {

/// What is known of the film, and how the roll was made and scanned.
struct Stratum {
  std::string name;
  std::string taken;  ///< strata of one such name are readings of the same scans
  bool colour = false;
  bool bracket = false;        ///< the roll, the first of its film, begins with three logged
                               ///< exposures of one view
  bool film_test = false;      ///< the curve is known from exposures of one subject
  bool pattern_known = false;  ///< the log says how the camera meters
  bool jpeg = false;           ///< 8 bits, sRGB, lossy
  bool logged = false;         ///< the log says what was asked for
  int rolls_of_film = 1;       ///< one after the other; development wanders from roll to roll
  bool remembered = false;     ///< what earlier rolls of the film said is known
  int counted = 0;             ///< outcomes of rolls from this one of a film on
};
std::vector<Stratum> strata();

/// One frame: what happened and what was read.
struct Outcome {
  std::string stratum;
  int roll = 0;
  std::string scene;
  bool lamps = false;  ///< 1/500 of the picture is three stops or more above its mean
  simulator::FrameTruth truth;
  double contrast = 1;  ///< of the film, against ISO 6 or the published curve
  double asked = 0;     ///< exposure that the log asked for, stops from the aim
  basefog::density::FrameState state = basefog::density::FrameState::unreadable;
  std::optional<basefog::reading::FrameReading> reading;
};

/// What the estimator is told of the truth beside what the stratum says, to see what each costs.
struct Told {
  bool contrast = false;
  bool form = false;  ///< of the curve: all but its contrast
  bool pattern = false;
};

struct StudyOptions {
  std::filesystem::path panoramas;  ///< folder of .exr and .hdr; empty: a few made-up ones
  int rolls = 8;                    ///< of each stratum
  int frames = 12;                  ///< of each roll
  std::uint64_t seed = 1;
  /// Take the place of the frame and of the clear film from the simulation instead of finding them.
  bool given_frames = false;
  std::filesystem::path kept;  ///< scans' records are kept here, and taken from here
  Told told;
};

/// Runs one stratum; the same numbers on every run.
std::vector<Outcome> run(const Stratum& stratum, const StudyOptions& options);

/// How one answer did over some frames.
struct Score {
  int frames = 0;       ///< with an answer
  double bias = 0;      ///< mean error, stops
  double rms = 0;       ///< root mean square error, stops
  double near = 0;      ///< share of best values within half a stop
  double coverage = 0;  ///< share whose interval holds the truth
  double width = 0;     ///< median width of the intervals, stops
};

enum class AnswerKind { exposure, shadow_reserve, highlight_reach, highlight_room, correction };
std::string_view name_of(AnswerKind kind);
constexpr AnswerKind last_of(AnswerKind) { return AnswerKind::correction; }

Score score(const std::vector<Outcome>& outcomes, AnswerKind kind);

/// Share of right verdicts, of frames whose true correction is a third of a stop or more from where
/// verdicts change.
double right_verdicts(const std::vector<Outcome>& outcomes, int& judged);
/// Of the verdicts told with a chance of `from` and more, less than `to`, the share that is right,
/// and how many there are.
double right_at_chances(const std::vector<Outcome>& outcomes, double from, double to, int& told);

/// As stops from its zero.
basefog::reading::Answer<basefog::Stops> answer_of(const basefog::reading::FrameReading& reading,
                                                   AnswerKind kind);
double truth_of(const simulator::FrameTruth& truth, AnswerKind kind);

}  // namespace validation

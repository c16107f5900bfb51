// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/meter/meter_bias.hpp"
#include "basefog/plan/next_roll.hpp"
#include "basefog/roll/question.hpp"

namespace basefog::roll {

/// What an advice is about; how to expose the next roll is a plan of its own (next_roll.hpp).
enum class AdviceKind {
  question,   ///< what must be answered before anything else can be said
  rescan,     ///< how to scan so that more can be measured
  service,    ///< have the camera looked at
  test_next,  ///< what to shoot to settle what is open
  caution,    ///< what the plan holds for
};
std::string_view name_of(AdviceKind kind);  ///< as in JSON

/// An error of the camera with the frames that show it.
struct SeenError {
  StopsEstimate stops;  ///< positive over-exposes
  int frames = 0;       ///< how many show it
};

// Each advice as its facts; report/advice_wording has the sentences.

/// Nothing can be said of the camera until this is answered.
struct AnswerFirst {
  static constexpr AdviceKind kind = AdviceKind::question;  ///< as kind_of says
  QuestionAbout about{};                                    ///< which question
};

/// What is wrong with scans, so that they must be made again.
enum class ScanFault {
  positive,      ///< inverted already
  without_zero,  ///< no clear film under the same exposure
  clipped_base,  ///< clear film at the white limit
};

/// Some or all of the roll must be scanned again.
struct ScanAgain {
  static constexpr AdviceKind kind = AdviceKind::rescan;  ///< as kind_of says
  ScanFault fault{};                                      ///< of all that are counted here
  int faulty = 0;                                         ///< frames
  int frames = 0;                                         ///< of the roll, without blank ones
};

/// One lens gives more or less than the others at the same stop.
struct CheckLens {
  static constexpr AdviceKind kind = AdviceKind::service;  ///< as kind_of says
  meter::BiasEffect lens;                                  ///< surely beyond a sixth of a stop
};

/// One marked stop gives more or less than it should.
struct CheckAperture {
  static constexpr AdviceKind kind = AdviceKind::service;  ///< as kind_of says
  meter::BiasEffect aperture;                              ///< surely beyond a sixth of a stop
};

/// The error grows or shrinks with the light.
struct CheckCell {
  static constexpr AdviceKind kind = AdviceKind::service;  ///< as kind_of says
  meter::BiasEffect slope;                                 ///< stops an EV
  std::string battery;  ///< its kind as the camera file says; may be empty
};

/// The error changed from roll to roll.
struct CheckDrift {
  static constexpr AdviceKind kind = AdviceKind::service;  ///< as kind_of says
  SeenError change;                                        ///< from the first roll to the last
  double days = 0;                                         ///< between them
};

/// Why correcting is the wrong answer: one reason or several.
struct HaveServiced {
  static constexpr AdviceKind kind = AdviceKind::service;  ///< as kind_of says
  bool speed_far_off = false;                              ///< one by a stop and a half or more
  std::optional<int> speeds_off;                           ///< how many, where they are many
  bool camera_far_off = false;                             ///< by two stops or more
  std::optional<double> scatter;  ///< from frame to frame, stops, where it is large
  SeenError bias;                 ///< of the camera as a whole
};

/// A speed or stop that may be off.
struct TestLevel {
  static constexpr AdviceKind kind = AdviceKind::test_next;  ///< as kind_of says
  meter::BiasEffect level;                                   ///< neither settled nor planned for
  int frames = 0;                                            ///< that would settle it
};

/// The film's contrast is assumed; a film test or a bracket would measure it.
struct TestContrast {
  static constexpr AdviceKind kind = AdviceKind::test_next;  ///< as kind_of says
  double relative_sigma = 0;  ///< of the film's contrast as it is known now
};

/// The plan corrects, and holds for this meter, film, development and scanner alone.
struct Caution {
  static constexpr AdviceKind kind = AdviceKind::caution;  ///< as kind_of says
  bool film_speed_measured = false;  ///< else the film's true speed is in it too
};

/// One thing to do besides the plan. Only where an interval supports it.
using Advice = std::variant<AnswerFirst, ScanAgain, HaveServiced, CheckCell, CheckDrift, CheckLens,
                            CheckAperture, TestLevel, TestContrast, Caution>;

AdviceKind kind_of(const Advice& advice);  ///< for all kinds

/// True for what must be done before the roll says anything else: a question, or a fault of half of
/// the scans and more.
bool blocks(const Advice& advice);

/// How many frames of a roll each fault of scans keeps from being measured.
struct FaultyScans {
  int frames = 0;        ///< of the roll, without blank ones
  int positive = 0;      ///< inverted already
  int without_zero = 0;  ///< no density zero
  int clipped_base = 0;  ///< clear film at the white limit
};

/// All that advice rests on: of one roll, or of all rolls of a camera.
struct AdviceBasis {
  film::FilmProfile film;                   ///< as the frames were read through it
  std::string battery;                      ///< its kind as the camera file says; may be empty
  std::optional<meter::MeterBias> meter;    ///< absent without rows of this roll
  std::optional<plan::NextRoll> next_roll;  ///< wherever there is a bias
  std::vector<QuestionAbout> open;          ///< questions that hold everything up
  FaultyScans scans;                        ///< none where rolls are looked at together
};

/// Advice, most important first. Where something blocks, that alone.
std::vector<Advice> advise(const AdviceBasis& basis);

}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "basefog/core/settings.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"

namespace basefog::roll {

/// What an advice is about.
enum class AdviceKind {
  nothing_to_change,
  dial_exposure_index,
  allow_for_speed,
  avoid_speed,
  allow_for_aperture,
  check_lens,
  check_meter,  ///< cell or battery: the error changes with the light or over months
  metering,
  service,    ///< have the camera looked at rather than correct for it
  scanning,   ///< how to scan so that more can be measured
  test_next,  ///< what to shoot to settle what is open
  caution,    ///< what the other advice holds for
};
std::string_view name_of(AdviceKind kind);

/// An error of the camera with the frames that show it.
struct SeenError {
  StopsEstimate stops;  ///< positive over-exposes
  int frames = 0;
};

// Each advice as its facts; report/advice_wording has the sentences. correction(): what to add to
// the exposure, in those that are about an amount.

struct NothingToChange {
  static constexpr AdviceKind kind = AdviceKind::nothing_to_change;
  SeenError bias;
  std::optional<Stops> could_hide;  ///< an error up to this; absent where that would not matter
};

struct DialIndex {
  static constexpr AdviceKind kind = AdviceKind::dial_exposure_index;
  FilmSpeed dialled{100};  ///< what the meter was set to
  FilmSpeed index{100};    ///< what to set it to
  SeenError bias;
  Stops correction() const { return -bias.stops.value; }
};

/// Where the dial has no mark that is nearer to the cure.
struct DialCompensation {
  static constexpr AdviceKind kind = AdviceKind::dial_exposure_index;
  FilmSpeed dialled{100};
  SeenError bias;
  Stops correction() const { return -bias.stops.value; }
};

struct AllowForSpeed {
  static constexpr AdviceKind kind = AdviceKind::allow_for_speed;
  meter::BiasEffect speed;
  Stops correction() const { return -speed.stops.value; }
};

/// Too far off to allow for.
struct AvoidSpeed {
  static constexpr AdviceKind kind = AdviceKind::avoid_speed;
  meter::BiasEffect speed;
  Stops correction() const { return -speed.stops.value; }
};

struct AllowForAperture {
  static constexpr AdviceKind kind = AdviceKind::allow_for_aperture;
  meter::BiasEffect aperture;
  Stops correction() const { return -aperture.stops.value; }
};

struct CheckLens {
  static constexpr AdviceKind kind = AdviceKind::check_lens;
  meter::BiasEffect lens;
  Stops correction() const { return -lens.stops.value; }
};

/// The error grows or shrinks with the light.
struct CheckCell {
  static constexpr AdviceKind kind = AdviceKind::check_meter;
  meter::BiasEffect slope;  ///< stops an EV
  std::string battery;      ///< its kind as the camera file says; may be empty
};

/// The error changed from roll to roll.
struct CheckDrift {
  static constexpr AdviceKind kind = AdviceKind::check_meter;
  SeenError change;  ///< from the first roll to the last
  double days = 0;   ///< between them
};

struct MeterScene {
  static constexpr AdviceKind kind = AdviceKind::metering;
  meter::SceneTechnique technique;
  bool already_done = false;  ///< what was asked for on the roll is what the scene needs
  Stops correction() const { return technique.stops.value; }
};

/// Why correcting is the wrong answer: one reason or several.
struct HaveServiced {
  static constexpr AdviceKind kind = AdviceKind::service;
  bool speed_far_off = false;     ///< one by a stop and a half or more
  std::optional<int> speeds_off;  ///< how many, where they are many
  bool camera_far_off = false;    ///< by two stops or more
  std::optional<double> scatter;  ///< from frame to frame, stops, where it is large
  SeenError bias;
};

struct ScanWithRebate {
  static constexpr AdviceKind kind = AdviceKind::scanning;
  int without_zero = 0;  ///< frames with no density zero
  int frames = 0;        ///< of the roll
};

/// The camera's bias looks worth dialling and is not sure.
struct TestBias {
  static constexpr AdviceKind kind = AdviceKind::test_next;
  FilmSpeed dialled{100};
  FilmSpeed index{100};  ///< the better guess, or `dialled` where the dial has no nearer mark
  double chance = 0;     ///< that `index` is the better of the two
  SeenError bias;
};

/// A speed or stop that may be off.
struct TestLevel {
  static constexpr AdviceKind kind = AdviceKind::test_next;
  meter::BiasEffect level;
  int frames = 0;  ///< that would settle it
};

struct TestContrast {
  static constexpr AdviceKind kind = AdviceKind::test_next;
  double relative_sigma = 0;  ///< of the film's contrast as it is known now
};

struct Caution {
  static constexpr AdviceKind kind = AdviceKind::caution;
  bool film_speed_measured = false;
};

/// One thing to do next time. Only where an interval supports it.
using Advice =
    std::variant<NothingToChange, DialIndex, DialCompensation, AllowForSpeed, AvoidSpeed,
                 AllowForAperture, CheckLens, CheckCell, CheckDrift, MeterScene, HaveServiced,
                 ScanWithRebate, TestBias, TestLevel, TestContrast, Caution>;

AdviceKind kind_of(const Advice& advice);

/// What to add to the exposure, to the nearest third of a stop; absent where the advice is not
/// about an amount.
std::optional<Stops> correction_of(const Advice& advice);

/// All that advice rests on: of one roll, or of all rolls of a camera.
struct AdviceBasis {
  film::FilmProfile film;
  std::optional<log::Camera> camera;  ///< what its file says, where one was given
  /// The exposure index that the camera was dialled to; absent: the film's own speed.
  std::optional<FilmSpeed> dialled;
  std::optional<meter::MeterBias> meter;
  std::vector<meter::SceneTechnique> techniques;
  std::size_t frames = 0;
  std::size_t frames_without_zero = 0;  ///< of these, frames with no density zero
};

/// Advice, most important first.
std::vector<Advice> advise(const AdviceBasis& basis);

}  // namespace basefog::roll

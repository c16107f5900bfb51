// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"

namespace basefog::plan {

/// What an allowance is for.
enum class AllowanceFor {
  shutter,  ///< one marked speed
  scene,    ///< one word for a scene
  lens,     ///< one lens
};
constexpr AllowanceFor last_of(AllowanceFor) { return AllowanceFor::lens; }
std::string_view name_of(AllowanceFor what);  ///< as in JSON

/// What to add, at the dial of its plan, to all frames of a speed, scene or lens.
struct Allowance {
  AllowanceFor what{};  ///< speed, scene or lens
  std::string level;    ///< as marked or as written in the log: "1/500", "backlit"
  Stops stops;          ///< whole thirds, not zero
  /// Why: of a speed or lens what the camera gives there beyond its other frames; of a scene what
  /// such frames need beyond a true meter.
  StopsEstimate seen{};
  int frames = 0;  ///< from how many
};

/// A film speed to expose at, and how the camera is set to it.
struct DialSetting {
  FilmSpeed index{100};  ///< to expose at, in all
  FilmSpeed mark{100};   ///< on the film speed dial
  Stops compensation;    ///< on the compensation dial; none where the mark is the index
  friend bool operator==(const DialSetting&, const DialSetting&) = default;
};

/// Root mean square over the next roll's frames of what they will be off by, stops.
struct ExpectedError {
  double before = 0;  ///< set as on the roll that was reviewed
  double after = 0;   ///< set as planned
};

/// What a plan does, and why where it does nothing.
enum class PlanState {
  change,     ///< something is to be set otherwise
  as_asked,   ///< the camera surely gives what is asked to within a third of a stop
  not_known,  ///< a change might help, with too small a chance
  held_up,    ///< a question or the scans come first
};
constexpr PlanState last_of(PlanState) { return PlanState::held_up; }
std::string_view name_of(PlanState state);  ///< as in JSON

/// How to expose the next roll: one decision, in which nothing is relative to a dial that it does
/// not also set. Allowances add up.
struct NextRoll {
  PlanState state = PlanState::not_known;  ///< whether to change something
  FilmSpeed dialled{100};                  ///< what was dialled on the roll that was reviewed
  DialSetting dial;                        ///< as dialled where nothing is changed
  std::vector<Allowance> add;              ///< speeds slowest first, then lenses, then scenes
  ExpectedError expected_error;            ///< with and without the plan
  /// That the plan leaves less error over the roll than the settings as they were; where nothing is
  /// changed, of the best change.
  double chance_better = 0;
  StopsEstimate bias;  ///< what the camera was seen to give
  int frames = 0;      ///< from how many
};

/// What a plan rests on.
struct NextRollBasis {
  FilmSpeed dialled{100};             ///< on the roll or rolls
  std::optional<log::Camera> camera;  ///< what can be dialled; absent: any third of a stop
  meter::MeterBias meter;             ///< the camera's errors, with their covariance
  std::vector<meter::SceneTechnique> techniques;  ///< what scenes need beyond a true meter
  /// The frames of the roll, or of all rolls: the next one is taken to show the same kinds.
  std::span<const meter::DeviationSample> frames;
};

/// The same dial with no allowance, for the reason given.
NextRoll unchanged(const NextRoll& plan, PlanState why);

/// The dial and the allowances that leave least error on the next roll; nothing where the meter has
/// no bias. Deterministic. The method and its accuracy: src/plan/next_roll.cpp.
std::optional<NextRoll> plan_next_roll(const NextRollBasis& basis);

}  // namespace basefog::plan

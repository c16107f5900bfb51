// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "basefog/core/settings.hpp"
#include "basefog/log/camera.hpp"

namespace basefog::log {

/// A pair of marked settings, what exposure it gives and what it costs against the pair it
/// replaces.
struct EquivalentSettings {
  ShutterTime shutter{1};  ///< as marked
  FNumber aperture{1};     ///< as marked
  Stops change;            ///< exposure against the settings replaced, from exact marks
  Stops off;               ///< change minus what was wanted
  /// How much farther moving things smear, and camera shake: the ratio of the times.
  double blur = 1;
  /// How much deeper the zone of sharpness is: the ratio of the f-numbers, which holds for subjects
  /// well nearer than the hyperfocal distance (common practice).
  double depth_of_field = 1;
  ShutterTime hand_hold_limit{1};  ///< the longest time that hands hold still
  bool below_hand_hold = false;    ///< the time is longer than that limit: tripod
};

/// A difference that nobody sees in a print (judgement).
inline constexpr Stops kUnseenInPrint{1.0 / 6};

/// What is asked of equivalent settings.
struct EquivalentQuestion {
  ShutterTime shutter{1};                 ///< the settings to be replaced
  FNumber aperture{1};                    ///< likewise
  Stops wanted;                           ///< change of exposure, positive for more
  const CameraLens* lens = nullptr;       ///< null: the camera's own stops
  std::optional<double> focal_length_mm;  ///< for hand_hold_limit(); absent: not known
};

/// All pairs of the camera's marked times and the lens's marked stops whose exposure is within half
/// a mark of what is wanted, longest time first; for each time the stop that comes nearest. Empty
/// where no pair does: the light is too much or too little for camera and lens.
std::vector<EquivalentSettings> equivalent_settings(const Camera& camera,
                                                    const EquivalentQuestion& question);

/// Which setting a replacement changes.
enum class SettingChanged {
  shutter,   ///< the stop stays
  aperture,  ///< the time stays
  both,      ///< neither stays
};
std::string_view name_of(SettingChanged changed);  ///< as in JSON

/// What to dial on the compensation dial.
struct DialledCompensation {
  Stops stops;  ///< in all, what was dialled and what was missing, to the dial's nearest step
  Stops was;    ///< dialled at the time
  Stops step;   ///< of the dial
  bool beyond_dial = false;  ///< more than the dial goes
};

/// Settings that would have given a frame what its picture needed.
struct Replacement {
  EquivalentSettings settings;                       ///< what to set
  SettingChanged changed = SettingChanged::shutter;  ///< against what was set
  /// Where the camera sets the exposure itself; absent in manual mode.
  std::optional<DialledCompensation> compensation;
};

/// An error that a marked setting is known to have, so that a replacement allows for it.
struct KnownShutterError {
  ShutterTime shutter{1};  ///< as marked
  Stops error;             ///< positive gives more than marked
};

/// What to replace, and how the camera was used.
struct ReplacementQuestion {
  EquivalentQuestion settings;       ///< what was set, and the change wanted
  std::optional<ExposureMode> mode;  ///< absent: as manual
  /// Dialled at the time, on the compensation dial.
  Stops compensation;
  std::vector<KnownShutterError> known_errors;  ///< of the marked times; others count as true
};

/// Why no marked settings give what a picture needed.
enum class NoReplacement {
  too_dark_without_bulb,  ///< it needed more than the longest time and widest stop give
  too_dark_with_bulb,     ///< the same, and the camera has B
  too_bright,             ///< it needed less than the shortest time and smallest stop give
};

/// What a frame could have been exposed at, or why at nothing.
struct Replacements {
  std::vector<Replacement> options;   ///< best first
  std::optional<NoReplacement> none;  ///< where there are none
};

/// Replacement settings in the way that the camera was used: aperture priority keeps the stop and
/// changes the time, shutter priority keeps the time, manual and program offer both. Only marked
/// values, within the lens's range, and none that leaves more than was wanted; a time below the
/// hand-hold limit is offered with a tripod and, where the lens can, with a wider stop instead.
Replacements replacement_settings(const Camera& camera, const ReplacementQuestion& question);

}  // namespace basefog::log

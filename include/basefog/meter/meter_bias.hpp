// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/log/log.hpp"
#include "basefog/reading/frame_reading.hpp"

namespace basefog::meter {

/// One frame's deviation with what may explain it.
struct DeviationSample {
  Stops deviation;   ///< exposure - expected
  double sigma = 0;  ///< the frame's own standard deviation, stops: noise, pattern, clipping
  /// Sensitivities, in stops for one sigma, to what all frames of the roll share: contrast, toe and
  /// shoulder, response, base when it is the roll's. Zero for the frame's own causes.
  reading::ErrorBudget shared{};
  /// Change of `deviation` for one standard deviation of the film's failure of reciprocity, which
  /// all frames of the roll share.
  Stops reciprocity{0};
  /// Standard deviation of the film's speed, stops, where it was measured apart from the camera's
  /// meter; absent where speed and meter cannot be separated.
  std::optional<double> film_speed_sigma;
  std::optional<ShutterTime> shutter;     ///< as marked; absent: not logged
  std::optional<FNumber> aperture;        ///< as marked; absent: not logged
  std::string lens;                       ///< as logged; empty: none
  std::optional<log::ExposureMode> mode;  ///< absent: not logged
  /// The log states what the meter asked for, so that rounding to marks is known and taken off.
  bool request_logged = false;
  std::optional<double> light_ev;    ///< scene EV at ISO 100
  std::string frame;                 ///< its label in the log
  std::string scene;                 ///< as written in the log; empty: none
  std::optional<std::size_t> place;  ///< of its frame on the roll, from 0; absent: not known
  std::string roll;                  ///< its name
  std::string film;                  ///< name and speed; rolls of one film share its errors
  std::optional<double> day;         ///< when the roll was shot, in days from any fixed date
};

/// How far effects usually are off, as scales of their priors, in stops.
struct BiasPriors {
  /// The camera's meter with film and development: any value within a few stops.
  double camera = 1.5;
  /// One marked shutter speed against the others: "easily a third of a stop off" [ApugShutters];
  /// most are nearer, so the prior has heavy tails about a smaller scale.
  double shutter = 0.12;
  /// One marked aperture: "usually within a tenth" [ApugShutters]; heavy tails.
  double aperture = 0.07;
  double lens = 0.1;  ///< transmission of one lens against another (judgement)
  double mode = 0.1;  ///< one exposure mode against another (judgement)
  /// A meter that is not linear in the light: a third of a stop over 15 EV (judgement); heavy
  /// tails, for a cell or battery that fails.
  double light_level_per_ev = 0.02;
  /// One film against another: its true speed in this development against the box (judgement).
  double film = film_facts::kBoxSpeedSigma;
  /// One roll against others: batch and processing; heavy tails, for the roll that went wrong in
  /// the tank.
  double roll = film_facts::kRollScale;
  /// Slow drift of a meter, stops a year, and its jumps from one month to the next, as when a
  /// battery is changed; heavy tails (judgement).
  double drift_per_year = 0.5;
  double jump_per_month = 0.05;  ///< stops
  /// Share of the variance of the shared errors that all rolls of a film (contrast, toe and
  /// shoulder) or all rolls (response) have in common; the rest is each roll's own (judgement).
  double common_share = 0.5;
  /// How well the form of a shared error is known: the share of variance of its differences from
  /// frame to frame that is one with its mean over the roll. At 1 a roll would seem to measure its
  /// own contrast to a few percent, which real curves bear out by about half (bias_study).
  double form_share = 0.75;
  /// What the log does not hold, frame to frame, where the camera sets the exposure (judgement).
  double scatter_auto = 0.12;
  /// And where a person does: settings are rounded to the nearest mark, up to half a stop either
  /// way, uniform, 0.29 stop.
  double scatter_manual = 0.29;
};

/// What an effect beyond the camera's bias belongs to.
enum class BiasFactor {
  shutter,      ///< one marked speed against the others
  aperture,     ///< one marked stop against the others
  lens,         ///< one lens against the others
  mode,         ///< one exposure mode against the others
  light_level,  ///< a meter not linear in the light
  film,         ///< one film against the others
  roll,         ///< one roll against the others
};
std::string_view name_of(BiasFactor factor);  ///< as in JSON

/// One effect beyond the camera's bias.
struct BiasEffect {
  BiasFactor factor{};  ///< what it belongs to
  std::string level;    ///< as marked: "1/500", "f/4"; light_level: "per EV"
  StopsEstimate stops;  ///< positive over-exposes; against the camera's bias
  int frames = 0;       ///< at this level
  /// How many more frames at this level would make the interval's half width less than a third of
  /// a stop; absent where it is already.
  std::optional<int> frames_to_settle;
};

/// How the camera's bias changed over the rolls' dates.
struct BiasDrift {
  StopsEstimate change;  ///< from the first roll to the last
  double days = 0;       ///< between them
  /// The largest jump between two rolls that is surely there, and the roll after it.
  std::optional<StopsEstimate> jump;
  std::string jump_before_roll;  ///< its name; empty without a jump
};

/// What the frames cannot separate, whatever the fit prefers.
enum class Confounded {
  too_few_frames,           ///< fewer than three frames: there is no bias at all
  meter_speed_development,  ///< one roll: meter, the film's true speed and its development
  meter_development,        ///< one roll on film of measured speed: meter and development
  meter_speed,              ///< several rolls, all on one film whose true speed nobody measured
  levels,                   ///< two levels that mostly the same frames have
};

/// What the frames leave open: causes that they cannot tell apart, or that they are too few.
struct NotIdentifiable {
  Confounded what;          ///< which ones
  std::string level;        ///< as in BiasEffect, for Confounded::levels; else empty
  std::string other_level;  ///< likewise

  friend bool operator==(const NotIdentifiable&, const NotIdentifiable&) = default;
};

/// What the frames say of a camera: its bias, effects beyond it, and what stays open.
struct MeterBias {
  /// Positive over-exposes. Of one roll: of camera, film and development together, which one roll
  /// cannot separate (where the film's speed is known, of camera and development); of several:
  /// the camera's, at the date of the last roll. Absent with fewer than 3 frames.
  std::optional<StopsEstimate> bias;
  /// Those of rolls stand last.
  std::vector<BiasEffect> effects;
  /// Of `bias` and all effects but rolls', in this order, row by row, stops^2: what plans need to
  /// weigh several errors together. Empty where there is no bias.
  std::vector<double> covariance;
  double middle_ev = 0;            ///< scene EV at which the effect of the light is none
  std::optional<BiasDrift> drift;  ///< with three dated rolls over two months or more
  std::vector<NotIdentifiable> not_identifiable;  ///< empty: all could be separated
  double scatter = 0;   ///< estimated frame-to-frame noise beyond the frames' own, stops
  int frames_used = 0;  ///< all samples
  int rolls = 0;        ///< that they are from
};

/// True where the effect's whole interval lies beyond a sixth of a stop, half of the finest step
/// that can be dialled: sure enough that of a roll's many levels few are named without cause.
bool is_named(const BiasEffect& effect);

/// Fits bias and effects to the frames of one roll or several: a linear model with heavy-tailed
/// noise, effects shrunk towards zero by their priors, and the errors that frames share as latent
/// variables. Deterministic; time linear in the frames.
MeterBias fit_meter_bias(std::span<const DeviationSample> samples, const BiasPriors& priors = {});

}  // namespace basefog::meter

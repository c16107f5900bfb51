// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/meter/meter_bias.hpp"
#include "numeric/mixed_model.hpp"

namespace basefog::meter {

inline constexpr double kDaysPerYear = 365.25;  // Julian

// The columns of the linear model for a camera's deviations.
//
// Formula. Frame i of roll k deviates by y_i = exposure - expected, stops:
//
//   y_i = camera
//       + shutter[its mark] + aperture[its mark] + lens[its name] + mode[its name] + film[its name]
//       + slope (light_ev_i - median)                  stops per EV
//       - drift (last day - day_i) / 365.25            stops a year
//       - sum of the jumps between rolls after day_i
//       + sum over causes c of h_ic e_ck + k_ic e'_ck  errors that the frames of a roll share
//       + reciprocity_i r_k + roll_k
//       + noise_i                                      Student t, scale hypot(sigma_i, extra)
//
// All are stops, means 0, sigmas from BiasPriors; camera, drift, films of known speed and e, e', r
// are normal, the others have heavy tails. e, e', r have sigma 1. With s_ic the frame's sensitivity
// to cause c (stops a sigma), m_kc its mean over the roll weighted by 1 / (sigma_i^2 +
// scatter_auto^2), f = form_share:
//
//   h_ic = m_kc + sqrt(f) (s_ic - m_kc)      k_ic = sqrt(1 - f) (s_ic - m_kc)
//
// so that the mean variance over the roll stays that of s, but differences from frame to frame say
// less of what moves all of them: frames would else seem to measure their own film's contrast. Over
// several rolls e of contrast, toe and shoulder, response splits into a part of the roll (variance
// 1 - common_share) and one of the film, or the scanner (common_share), that all its rolls have.
//
// camera is the bias at the day of the last roll: drift and jumps count back from it. extra is one
// for frames that the camera set or whose row states what the meter asked for, another for frames
// set by hand.
//
// Columns exist only where they can say something: a factor from two levels on; films from two on,
// or one of known speed; the slope over 4 EV and more; rolls from two on; drift and jumps from
// three dated rolls over 60 days, 24 jumps at most.
//
// Assumes. Effects add up in stops, with no interplay (a slow speed is as slow at every aperture);
// sensitivities are linear; marks are read right.
//
// Costs. Columns: levels seen, films, 24 jumps at most; per roll 2 causes + 2 local effects. Time
// as mixed_model.hpp says; bench_bias (tests/bench) measures it.
//
// Accurate. bias_study (tests/validation): on simulated rolls the bias of one roll to 0.09 stop
// with a film test, 0.28 with generic film.
// MeterBias.of_one_roll_is_within_its_interval_as_often_as_it_says,
// MeterBias.names_a_sticky_speed_and_accuses_none_without_cause,
// MeterBias.several_rolls_part_the_camera_from_film_and_development.
//
// Fails. What was always used together cannot be separated; the priors then share the effect out.
// fit_meter_bias names such pairs, and says what one roll cannot separate (meter, film speed,
// development).
//
// Source. Priors: BiasPriors. The rest is ours.

/// The linear model that explains deviations, and what each of its columns stands for.
struct BiasDesign {
  struct Effect {
    BiasFactor factor{};
    std::string level;
    int column = 0;  ///< in model.global
    int frames = 0;
  };
  struct Roll {
    std::string name;
    std::optional<double> day;
    int frames = 0;
  };
  /// Between two rolls, in the order of their dates: the bias before is lower by it.
  struct Jump {
    int column = 0;
    double day = 0;           ///< of the roll after it
    std::string before_roll;  ///< its name
  };

  numeric::MixedModel model;
  int camera_column = 0;
  double middle_ev = 0;             ///< from which the slope counts
  std::vector<Effect> effects;      ///< global effects beyond the camera's bias
  std::vector<Roll> rolls;          ///< the blocks
  std::optional<int> roll_column;   ///< in model.local; absent for a single roll
  std::optional<int> drift_column;  ///< stops a year; absent with few or undated rolls
  std::vector<Jump> jumps;
  double first_day = 0;
  double last_day = 0;
};

/// samples must not be empty.
BiasDesign design_bias_model(std::span<const DeviationSample> samples, const BiasPriors& priors);

}  // namespace basefog::meter

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"

namespace basefog::meter {

/// What is kept of a reviewed roll: all that bias and technique are learned from.
struct RememberedRoll {
  std::string name;                        ///< with the camera, what stands for the roll
  std::string camera;                      ///< may be empty
  std::string film;                        ///< as the log names it, else its profile
  FilmSpeed film_speed{100};               ///< the film's own
  std::optional<double> film_speed_sigma;  ///< as in DeviationSample
  std::optional<FilmSpeed> dialled;        ///< on the camera; absent: not known
  std::string date;                        ///< ISO 8601, of its first dated frame; may be empty
  std::string battery;  ///< kind and date fitted, as the camera file says; may be empty
  std::vector<DeviationSample> deviations;  ///< one a frame with reading and row
  std::vector<TechniqueSample> techniques;  ///< likewise
};

/// Film and speed, by which rolls of one film are known: "Plain 400, ISO 400".
std::string film_name(const RememberedRoll& roll);

/// True where two records are of the same frames: half of them or more agree in label, time and
/// stop.
bool is_same_roll(const RememberedRoll& a, const RememberedRoll& b);

/// One camera over all its rolls.
struct BiasHistory {
  std::string camera;                ///< the rolls' own name of it; may be empty
  std::vector<std::string> films;    ///< names without speeds, each once
  std::string first_date;            ///< of the dated rolls; empty without
  std::string last_date;             ///< likewise
  FilmSpeed film_speed{100};         ///< of the last roll
  std::optional<FilmSpeed> dialled;  ///< for the last roll
  /// The last roll's film speed was measured apart from the camera's meter.
  bool film_speed_measured = false;
  MeterBias meter;                  ///< at the date of the last roll
  std::vector<BiasEffect> misfits;  ///< rolls that do not fit the others, by a third and surely
  std::vector<SceneTechnique> techniques;  ///< over all rolls
};

/// Fits all rolls of one camera together. rolls must not be empty.
BiasHistory fit_bias_history(std::span<const RememberedRoll> rolls);

/// A roll's numbers, to stand beside those of another.
struct PreviousRoll {
  std::string name;                   ///< in the ledger
  std::string date;                   ///< ISO 8601; may be empty
  std::optional<StopsEstimate> bias;  ///< of the camera with that film, as by fit_meter_bias
  double rms = 0;                     ///< of the frames' deviations, stops
  int frames = 0;                     ///< that have one
};

/// Root mean square of the deviations, stops; absent without any.
std::optional<double> rms_deviation(std::span<const DeviationSample> samples);

/// Of one camera's rolls on one film and speed the one before `now`: the last that is dated before
/// it; where `now` has no date, the last of all. Rolls of the same frames or the same name are
/// `now` itself. Absent where there is none, or where nobody says which camera it was.
std::optional<PreviousRoll> previous_roll(std::span<const RememberedRoll> rolls,
                                          const RememberedRoll& now);

/// Days since 1970-01-01 of an ISO 8601 date, of which time of day is left aside; absent where it
/// is none.
std::optional<double> day_of(const std::string& date);

}  // namespace basefog::meter

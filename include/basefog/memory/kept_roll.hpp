// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/ensemble/roll_reading.hpp"
#include "basefog/memory/film_memory.hpp"
#include "basefog/meter/bias_history.hpp"

namespace basefog::memory {

/// A frame to be read again, and as it was last read.
struct KeptFrame {
  std::size_t place = 0;      ///< on the roll, from 0
  ensemble::KeptFrame frame;  ///< as it is read
  ExposureFromAim exposure;   ///< best value
  Stops correction{0};        ///< best value
};

/// What is kept of a roll for its film: what it said, and its frames, so that they can be read
/// again when the film is better known.
struct KeptFilm {
  FilmLesson lesson;             ///< what the roll said, series and frames together
  film::FilmEvidence of_series;  ///< of `lesson`, what did not come from the frames as kept
  double aim_k = 12.5;           ///< of the aim that the frames were read against
  double aim_q = 0.65;           ///< likewise
  /// The contrast that the frames were last read through, ln against the form, and its sigma.
  double log_contrast = 0;
  double log_contrast_sigma = 0;  ///< one standard deviation
  std::vector<KeptFrame> frames;  ///< those that were read, by place
};

/// All that the ledger keeps of a roll whose film was named.
struct KeptRoll {
  meter::RememberedRoll roll;  ///< for the camera
  KeptFilm film;               ///< for the film
};

/// The roll as it reads through what all lessons but its own say of its film: deviations and
/// techniques moved with their frames, what they share with others as sure as the film is now; what
/// the roll itself said stays. Nothing where its lesson's form was not kept, where the lessons say
/// nothing, where they hardly say anything else than when it was last read (contrast within a fifth
/// of its sigma and as sure to a tenth), or where its frames cannot be read.
std::optional<KeptRoll> read_again(const KeptRoll& kept, std::span<const FilmLesson> lessons);

}  // namespace basefog::memory

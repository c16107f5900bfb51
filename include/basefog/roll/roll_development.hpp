// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

#include "basefog/core/estimate.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/roll/roll_film.hpp"

namespace basefog::roll {

struct FrameResult;

/// Whose tank a roll was in: what can be changed about it depends on that.
enum class DevelopedBy {
  unknown,  ///< nothing was written
  self,     ///< a time, a temperature or a developer was
  lab       ///< a lab was named
};

/// By what was written of the development.
DevelopedBy developed_by(const memory::FilmUse& use);

/// Whether a roll's negatives look wrongly exposed or wrongly developed. Thin shadows mean less
/// exposure; full shadows with weak highlights mean less development (common practice). Of the roll
/// as a whole, never of one frame.
struct RollDevelopment {
  int frames = 0;                                   ///< that count
  DevelopedBy developed_by = DevelopedBy::unknown;  ///< whom advice on development is for
  /// The roll's exposure against what was asked (where the log says) or against the aim: from
  /// shadows, which hardly depend on development, and from the metered means, together.
  StopsEstimate exposure{Stops(0), {}, {}};
  /// Average gradient as a factor of the film's in the development asked for.
  Estimate<double> development{1.0, {}, {}};
  /// Chances that the roll is off by more than half a stop, or by more than what half a stop of
  /// push or pull does to contrast (a factor of 1.1 and its inverse).
  double under_exposed = 0;
  double over_exposed = 0;     ///< likewise
  double under_developed = 0;  ///< likewise
  double over_developed = 0;   ///< likewise
  /// Base + fog where its true density is known and high: long development, old film or light that
  /// leaked in.
  std::optional<Density> high_fog;
};

/// Frames that the roll's judgement takes at least.
inline constexpr int kFewestForDevelopment = 6;

/// Absent with fewer than kFewestForDevelopment measured frames. Development comes from exposure
/// series on the roll where there are any, else from what its readings say of the contrast; a base
/// + fog whose true density is known and high is given. contrast: of the readings, against the
/// film.
std::optional<RollDevelopment> judge_development(std::span<const FrameResult> frames,
                                                 const RollFilm& film,
                                                 const Estimate<double>& contrast, const Aim& aim);

}  // namespace basefog::roll

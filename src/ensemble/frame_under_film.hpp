// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/core/exposure_point.hpp"
#include "ensemble/grouped_frame.hpp"
#include "ensemble/member_film.hpp"
#include "reading/frame_numbers.hpp"

namespace basefog::ensemble {

/// One frame under one member.
struct FrameUnderFilm {
  EnumArray<reading::Quantity, double> value{};  ///< from their zeros, stops
  double base = 0;      ///< base + fog denser than measured, in its standard deviations
  double metering = 0;  ///< which of the possible meterings

  // For evidence on the member.

  /// From the aim, stops: one for each part of the law of hidden light, of these chances; one where
  /// nothing is hidden.
  std::vector<double> exposures;
  std::vector<double> chances;
  double likely_range = 0;  ///< between the percentiles, above clear film, stops; half of what is
                            ///< hidden is brighter
  /// ln of the stops by which the exposure rises with a density of 1, all over the frame.
  double log_slope = 0;
  /// By layer: the greatest net density less the most that the film can have.
  std::vector<double> over_end;
};

/// Reads a frame through a member's film.
///
/// Light that film or scan hides is drawn: what lies beyond their range exceeds its bound by a
/// factor F, chance that F exceeds f is 1 / f (1 / sqrt(f) under 0.5 % of the frame, often the
/// sun), at most 8 stops; what cannot be told from base got a share of its bound, evenly from 0 to
/// 1 (all judgement). A base of the frame's own is drawn alike, a base that the scan clips is
/// thinner than it shows, sigma 0.15. Draws are fixed numbers, spread evenly over frames and
/// members.
///
/// aim: where it lies on the film. frame_number: the frame's place on the roll. chances: of the
/// parts of the law, where more is known of them than the law; else empty.
FrameUnderFilm read_under(const GroupedFrame& frame, std::size_t frame_number,
                          const MemberFilm& film, ExposureAboveSpeedPoint aim,
                          std::span<const double> chances = {});

}  // namespace basefog::ensemble

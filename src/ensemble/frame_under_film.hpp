// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/core/exposure_point.hpp"
#include "ensemble/grouped_frame.hpp"
#include "ensemble/member_film.hpp"
#include "reading/frame_numbers.hpp"

namespace basefog::ensemble {

/// One frame under one member.
struct FrameUnderFilm {
  EnumArray<reading::Quantity, double> value{};  ///< as in reading::FrameNumbers, stops

  // For evidence on the member: with hidden light at its median, since what is drawn for each frame
  // would drown it.

  double likely_exposure = 0;  ///< from the aim, stops
  double likely_range = 0;     ///< between the percentiles, above clear film, stops
  /// ln of the stops by which the exposure rises with a density of 1, all over the frame.
  double log_slope = 0;
  double too_dense = 0;  ///< net density above the most that the film can have; else below 0
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
/// aim: where it lies on the film. frame_number: the frame's place on the roll.
FrameUnderFilm read_under(const GroupedFrame& frame, std::size_t frame_number,
                          const MemberFilm& film, ExposureAboveSpeedPoint aim);

}  // namespace basefog::ensemble

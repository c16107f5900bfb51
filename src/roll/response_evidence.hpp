// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/density/density.hpp"
#include "basefog/response/response.hpp"
#include "basefog/roll/question.hpp"
#include "roll/roll_doubts.hpp"

namespace basefog::roll {

// How codes stand for light, where nothing states it.
//
// Deep TIFF files without a profile are read as linear. Many are not: their codes went through a
// display's tone curve, and densities then read less than half of what they are. What a roll shows
// of that: with D the densities as read, h a way to read them (D times 0.74, 1, 1.8 or 2.2, or
// sRGB's curve), and x a frame's (ln(98th less 2nd percentile), ln 99.9th percentile) of net
// density under h,
//
//   ln L(h) = -1/2 (x - m)' (B + 0.04 J + W / n)^-1 (x - m)     x: mean over n frames; J all ones
//
// m, W and B are the mean of such pairs, their spread in a roll and between rolls, for silver and
// for dye images; the mask of colour film adds how far green and blue of the clear film lie above
// red under h. Silver and colour are summed over, as the film is not known yet.
//
// Accurate. Chances are cautious: taken at one half, 2 of 450 rolls were wrong (ResponseEvidence
// tests). Scans of colour film that were balanced say least. Needs the scans' own clear film.

/// The chance, 0 to 1, that the codes of scans which were read as proportional to light for want of
/// any statement stand for light through a display's tone curve. Absent where a response is stated,
/// or where no frame was measured from clear film of its own.
std::optional<double> chance_of_tone_curve(std::span<const density::FrameMeasurement> frames);

/// From this chance on, or below one less it, nobody is asked: of 450 rolls of the tests none was
/// then taken wrongly and 137 were asked about; with 0.9 it would be 96, with 0.98 215.
inline constexpr double kSureOfResponse = 0.95;
inline bool is_torn(std::optional<double> tone_curve) {
  return tone_curve && *tone_curve<kSureOfResponse&& * tone_curve> 1 - kSureOfResponse;
}

/// Asks where the roll is torn; densities under one answer are about twice those under the other.
std::vector<Question> ask_for_response(std::optional<double> tone_curve);

/// sRGB, as found by what a roll shows: with the doubt that another tone curve leaves.
response::Response tone_curve_found();

/// Where nothing states how codes stand for light, and the roll showed it: the frames read so.
std::optional<RollDoubt> response_found(std::span<const ReferencedFrame> frames);

/// Where the densities of the roll's measured frames cannot be right under the response that their
/// scans were read with: all of them.
std::optional<RollDoubt> check_response(std::span<const ReferencedFrame> frames);

}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "basefog/print/proof.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::print {

/// An sRGB picture, interleaved: index = (y * width + x) * channels + c. Full scale is white.
template <class Sample>
struct BasicPositive {
  int width = 0;
  int height = 0;
  int channels = 1;  ///< 1 gray, 3 red, green, blue
  std::vector<Sample> samples;
};
using Positive = BasicPositive<std::uint8_t>;
using DeepPositive = BasicPositive<std::uint16_t>;

/// What all prints of a roll share, so that they can be held against each other.
struct PrintSetup {
  /// Per printed channel: net density that the aim gives, and the gradient there (density a log H).
  std::vector<double> aim_density;
  std::vector<double> gradient;
  /// Colour film: what brings the roll's mid-tones to neutral, log H added per channel.
  std::vector<double> balance;
};
PrintSetup print_setup(const roll::Analysis& analysis);

/// Density of the print for a log exposure relative to the mid-tone (positive is lighter), above
/// paper white: a paper of normal grade whose mid-tone reflects 18 % and whose black has density
/// 2.05. Falls strictly; common practice, for looking at and not for measuring.
double print_density(double log_exposure);

/// sRGB code, 0 to 1, of linear light [IEC61966-2-1]; light outside 0..1 is clamped.
double srgb_code(double light);

/// A picture of the frame on paper, the one that was kept or a larger one. ProofStyle::straight:
/// with the exposure that suits the aim, the same for all frames, so that thin negatives print dark
/// and dense ones light; empty where the density zero is not known. ProofStyle::corrected: exposure
/// and grade chosen for the frame; without a density zero its clearest place stands in for it.
/// Empty without a picture, and for a scan of a positive. Sample: std::uint8_t or std::uint16_t.
template <class Sample>
std::optional<BasicPositive<Sample>> print(const roll::FrameResult& frame,
                                           const density::NegativePicture& picture,
                                           const PrintSetup& setup, ProofStyle style);
template <class Sample>
std::optional<BasicPositive<Sample>> print(const roll::FrameResult& frame, const PrintSetup& setup,
                                           ProofStyle style) {
  return print<Sample>(frame, frame.measurement.negative, setup, style);
}

/// A negative as the scanner saw it. Empty without a picture.
std::optional<Positive> as_scanned(const density::NegativePicture& picture);

/// Reduced by averaging so that its long side is at most `long_side`.
template <class Sample>
BasicPositive<Sample> reduced(const BasicPositive<Sample>& picture, int long_side);

}  // namespace basefog::print

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "simulator/layout.hpp"

namespace simulator {

/// How light becomes code. srgb: IEC 61966-2-1.
enum class Encoding { linear, srgb };

struct Scanner {
  double pixel_mm = 0.05;
  int channels = 1;  ///< 1 gray, 3 red, green, blue
  int bits = 16;     ///< 8 or 16
  Encoding encoding = Encoding::linear;
  /// Code (as a share of full scale) for no film at all, one a channel or one for all; above 1,
  /// bare light clips.
  std::vector<double> gain{1.5};
  /// Share of the light that strays: half over the whole bed, half within flare_mm of where it is.
  double flare = 0.004;
  double flare_mm = 4;
  double holder_leak = 2e-4;   ///< transmittance of the holder
  double fall_off = 0;         ///< of the lamp's light at the corners, as a share
  double lean = 0;             ///< of the lamp's light from the left edge to the right, as a share
  double blur_pixels = 0.5;    ///< standard deviation of the optics' blur
  double full_well = 60000;    ///< electrons at full scale, for the noise of the light itself
  double read_noise = 1.5e-4;  ///< standard deviation in the dark, of full scale
  /// Code goes as transmittance^exponent ("linear" scans may not be).
  double response_exponent = 1;
};

/// A finished scan and where its frames are.
struct ScanImage {
  cv::Mat codes;  ///< CV_8U or CV_16U, 1 or 3 channels (red, green, blue)
  Encoding encoding = Encoding::linear;
  double pixel_mm = 0.05;
  std::vector<FrameOutline> frames;
  /// Code, as a share of full scale and before encoding, that clean clear film would read with no
  /// flare, one a channel; -log10 of it is the density zero of the scan. Not limited to 1.
  std::vector<double> base_light;
};

/// Lays the bed out and scans it. The seed sets grain and noise. Clean film: for dust or scratches,
/// lay out, spoil, then scan the negative.
ScanImage scan(const Bed& bed, const Film& film, const Scanner& scanner, std::uint64_t seed);
ScanImage scan(const Negative& negative, const Film& film, const Scanner& scanner,
               std::uint64_t seed);

/// Cut to the picture, `inset` of its size inside the edges of one frame: nothing else in view.
ScanImage cropped(const ScanImage& scan, std::size_t frame, double inset = 0.02);

}  // namespace simulator

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "basefog/density.hpp"
#include "basefog/settings.hpp"

namespace basefog {

enum class BlurFinding {
  cannot_tell,  ///< too few edges, too much grain, or a picture too small
  sharp,        ///< edges as steep as the reduced picture can show
  soft_scan,    ///< grain is as soft as the picture: the scan, or a file that was smoothed
  moved,        ///< grain is sharp, edges across one direction are not: movement
  out_of_focus  ///< grain is sharp, edges in no direction are: focus, or movement every way
};
std::string_view name_of(BlurFinding finding);

/// A side reading: how steep the picture's edges are against how fine its grain is. Read off the
/// reduced picture of the negative, so that blur of less than about 1/300 of the frame's long side
/// (0.12 mm on 36 mm) is not seen.
struct BlurReading {
  BlurFinding finding = BlurFinding::cannot_tell;
  /// Width of the steepest tenth of edges, as a share of the long side: where their light rises
  /// by the whole of its step at its steepest slope. In the direction where it is least and most.
  double least_width = 0;
  double greatest_width = 0;
  /// Direction of greatest_width, degrees from the upright picture's horizontal, turning as from +x
  /// to +y downwards, 0 to 180.
  double direction_degrees = 0;
  int edges = 0;
  /// Correlation of grain in neighbouring pixels, above the picture's own detail; absent where the
  /// picture shows no grain. Near 0: grain finer than a pixel.
  std::optional<double> grain_correlation;
};

/// From the picture alone. A picture less than 240 pixels wide, or with few strong edges, cannot
/// tell; nor can a finding of blur be made where no grain is seen that would prove the scan sharp.
BlurReading read_blur(const NegativePicture& negative);

/// The reading beside the logged time and the longest time for the hand: "1/15 is slower than the
/// hand-hold limit of 1/50, and it shows". Empty where neither says anything.
std::string blur_text(const BlurReading& blur, std::optional<ShutterTime> time,
                      std::optional<ShutterTime> hand_hold_limit);

}  // namespace basefog

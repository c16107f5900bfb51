// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <opencv2/core.hpp>

namespace simulator {

/// A full sphere of light, equirectangular: yaw -180 to 180 degrees from left to right, pitch 90
/// (zenith) to -90 from top to bottom. CV_32FC3, red, green, blue (Rec. 709), linear, > 0.
/// In cd/m² for a neutral surface once lit() has scaled it; relative before.
struct Panorama {
  cv::Mat radiance;
};

/// Where a camera looks, in degrees: yaw to the right, pitch up, roll clockwise.
struct View {
  double yaw = 0;
  double pitch = 0;
  double roll = 0;
  /// Across the long side of the picture.
  double field_of_view = 60;
  /// Texture finer than the panorama's own pixels, made up in proportion to the contrast around it:
  /// 0 leaves the soft picture of a small panorama, 1 goes on to the finest pixel about as pictures
  /// of nature do.
  double detail = 0;
};

/// Luminance of a red, green, blue picture with the Rec. 709 weights. CV_32FC1.
cv::Mat luminance(const cv::Mat& rgb);

/// The luminance that a meter with K = 12.5 calls EV `ev` at ISO 100: 0.125 * 2^ev cd/m².
double luminance_of_ev(double ev);

/// The panorama scaled so that the median luminance within 45 degrees of the horizon has exposure
/// value `ev` at ISO 100; choose it from the kind of scene [PH2.7]. Views into the light meter
/// higher, views into shade lower.
Panorama lit(const Panorama& panorama, double ev);

/// The same, scaled so that a meter that averages the view reads EV `ev` at ISO 100.
Panorama lit(const Panorama& panorama, const View& view, double ev);

/// What a rectilinear lens sees, before any loss in it: CV_32FC3 like the panorama. Interpolated in
/// the logarithm so that nothing rings below zero.
cv::Mat look(const Panorama& panorama, const View& view, cv::Size size);

/// Made-up panoramas for tests. `range_stops` is the light from one end to the other.
Panorama uniform_panorama(double radiance = 1.0);
/// Brightens evenly in stops from the left of the middle (yaw -90) to the right (yaw 90).
Panorama gradient_panorama(double range_stops);
/// A disc of light, `brighter_stops` above an even surround, seen straight ahead.
Panorama disc_panorama(double diameter_degrees, double brighter_stops);

}  // namespace simulator

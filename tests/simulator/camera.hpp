// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "simulator/panorama.hpp"

namespace simulator {

/// Constants of a reflected-light meter: a mid-tone gets q K / S lux·s on film of speed S.
inline constexpr double kLensFactor = 0.65;     ///< q
inline constexpr double kMeterConstant = 12.5;  ///< K, cd/m²
double aim_lux_seconds(double film_speed);

struct Lens {
  double vignetting = 0.5;      ///< how much of the natural cos^4 fall-off: 0 none, 1 all of it
  double veiling_glare = 0.01;  ///< share of the picture's light that is spread evenly over it
};

enum class Pattern { average, centre_weighted, spot };

/// How much each point of a picture counts for a meter; sums to 1. CV_64FC1.
/// centre_weighted: 60 % in a circle of a third of the long side (12 mm on 24 x 36), 40 % evenly
/// over the rest (common practice). spot: a circle of a twelfth of the long side.
cv::Mat weights(Pattern pattern, cv::Size size, cv::Point2d spot = {0.5, 0.5});

struct Meter {
  Pattern pattern = Pattern::centre_weighted;
  cv::Point2d spot{0.5, 0.5};  ///< as shares of the picture
  double bias_stops = 0;       ///< exposure given beyond what is right; positive over-exposes
};

/// A position of the shutter or the aperture ring: as engraved, exact, and how far off it is.
struct Mark {
  std::string engraved;
  double exact = 0;        ///< seconds, or f-number
  double error_stops = 0;  ///< positive gives more exposure than the mark says
};
std::vector<Mark> full_stop_shutter();   ///< 1 s to 1/1000
std::vector<Mark> half_stop_aperture();  ///< f/2 to f/16

struct Camera {
  Lens lens;
  Meter meter;
  std::vector<Mark> shutter = full_stop_shutter();
  std::vector<Mark> aperture = half_stop_aperture();
  double exposure_index = 400;  ///< as dialled on the meter

  Mark& shutter_mark(const std::string& engraved);
  Mark& aperture_mark(const std::string& engraved);
};

enum class Mode { manual, aperture_priority, set };

/// What the photographer does. manual: to the marks nearest to what the meter asks for, starting
/// from the aperture (or from the shutter time where given). aperture_priority: the camera makes a
/// stepless time. set: shutter and aperture as given, whatever the meter says.
struct Wish {
  Mode mode = Mode::manual;
  std::string aperture = "8";
  std::optional<std::string> shutter;
  double compensation = 0;
  double scatter_stops = 0;  ///< this shot's own error of the meter or the hand
};

/// One exposure: the light that fell on the film and the settings that let it in.
struct Shot {
  cv::Mat exposure;  ///< lux·s, CV_32FC3; for a neutral subject the three are equal
  Mode mode = Mode::manual;
  double compensation = 0;
  std::string logged_shutter;  ///< as engraved; in aperture priority the nearest mark
  std::string logged_aperture;
  double marked_seconds = 0;  ///< exact value of the logged mark
  double marked_f_number = 0;
  double seconds = 0;  ///< what the camera really did
  double f_number = 0;
  double metered_ev = 0;   ///< EV at ISO 100 of what a true meter would read
  double asked_stops = 0;  ///< exposure of the marks beyond what the camera's meter asked for
};

/// Photographs a scene whose luminance is in cd/m². The meter looks through the lens: it sees
/// vignetting and glare as the film does, so that a true meter obeyed without rounding gives the
/// metered mean exactly aim_lux_seconds(exposure_index).
/// Focal-plane exposure H = q L v t / N², v the fall-off relative to the centre.
Shot take(const Panorama& scene, const View& view, cv::Size size, const Camera& camera,
          const Wish& wish = {});

/// A frame on which no light fell (lens cap on).
Shot no_light(cv::Size size);

}  // namespace simulator

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "simulator/film.hpp"

namespace simulator {

/// A film and how frames lie on it, mm. Frames lie one after another along the film.
struct FilmFormat {
  double along = 36;   ///< of the frame, in the direction of the film
  double across = 24;  ///< of the frame
  double film_width = 35;
  double pitch = 38;       ///< from frame to frame
  bool perforated = true;  ///< holes of 35 mm film: 4.75 pitch, 2.8 x 1.98, 2.0 from the edge
};
/// "24x36", "18x24" (half frame), "4.5x6", "6x6", "6x7", "6x9", "24x65", "4x5" (sheet film).
FilmFormat film_format(const std::string& name);

/// A length of film with its frames. On the bed the film's direction is turned by angle_degrees,
/// counter-clockwise as seen, from left-to-right; 90 runs upwards.
struct Strip {
  FilmFormat format;
  std::vector<cv::Mat> frames;  ///< exposures, lux·s, CV_32FC3; an empty one got no light
  std::vector<std::string> labels;
  std::vector<double> shift;  ///< mm along the film by which each frame is off; empty: none
  cv::Point2d centre;         ///< of the strip on the bed, mm
  double angle_degrees = 0;
  double lead = 1;  ///< mm of film before the first and after the last frame
};

/// What lies on the scanner's glass. Windows are openings in an opaque holder, mm, turned with it
/// by holder_angle about the bed's centre; without any there is no holder, and light goes wherever
/// there is no film.
struct Bed {
  cv::Size2d size;  ///< mm
  std::vector<Strip> strips;
  std::vector<cv::Rect2d> windows;
  double holder_angle = 0;  ///< degrees, counter-clockwise as seen
};

/// How a frame sits in a one-frame holder, mm and degrees.
struct Seat {
  double margin_along = 1.2;  ///< rebate in view at each end of the frame
  double margin_across = 0.6;
  double mask = 1.3;         ///< holder in view around the window
  double angle_degrees = 0;  ///< of the film
  double holder_angle = 0;
  cv::Point2d off;  ///< of the frame from the window's middle
};

/// One frame, the film running on to both sides under the holder.
Bed one_frame(const cv::Mat& exposure, const FilmFormat& format, const Seat& seat = {},
              const std::string& label = "");

/// A strip by itself, horizontal, in a holder with `margin` mm of film in view around the frames;
/// or upright.
Bed one_strip(const Strip& strip, double margin = 1.0, bool upright = false);

/// Strips side by side on bare light, `gap` mm apart, upright or not, each turned a little by
/// `angles` (degrees; empty: none).
Bed sheet(const std::vector<Strip>& strips, double gap = 4, bool upright = false,
          const std::vector<double>& angles = {});

/// A frame's place on a scan.
struct FrameOutline {
  std::string label;
  /// Upper left, upper right, lower right, lower left of the picture, in pixels; (0, 0) is the
  /// outer corner of the first pixel.
  std::array<cv::Point2d, 4> corners;
  bool blank = false;
};

/// The bed, pixel by pixel, before the scanner sees it.
struct Negative {
  double pixel_mm = 0.05;
  cv::Mat density;  ///< CV_32F, one channel a layer; grainless; meaningful on film
  cv::Mat film;     ///< CV_8U, 255 where there is film
  cv::Mat open;     ///< CV_8U, 255 where the holder lets light through
  cv::Mat dust;     ///< CV_8U, 255 where a speck takes nearly all light
  std::vector<FrameOutline> frames;
};

/// Exposes, develops and lays out. Exposures on the same film add up, so overlapping frames
/// behave as on film. Film and bed may be of any size; memory is about 10 bytes a pixel and
/// layer.
Negative lay_out(const Bed& bed, const Film& film, double pixel_mm);

}  // namespace simulator

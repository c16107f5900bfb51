// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/film/film_test.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Why a frame cannot serve as a step of a film test.
enum class Unfit {
  positive,             ///< the scan was inverted, or is of a slide
  unreadable,           ///< the file gave no picture
  no_row,               ///< no row of the log belongs to it
  no_density_zero,      ///< nor is the roll's known
  no_exposure,          ///< its row says neither shutter and aperture nor compensation
  colour_seen_as_gray,  ///< film of three layers, scanned as gray
  beyond_scan,          ///< denser than the scan can tell
  uneven,               ///< unevenly lit
};

/// A frame that was left out.
struct UnfitFrame {
  std::string frame;          ///< its label, else its file's name
  Unfit why = Unfit::no_row;  ///< the first reason met
};

/// A film test read from frames.
struct FilmTestFrames {
  /// Without metered_for where the log does not say which exposure was the metered one: the curve's
  /// shape is measured then, but neither film speed nor meter.
  film::FilmTestSeries series;
  std::vector<UnfitFrame> left_out;  ///< in film order
};

/// How far the exposures of the log are to be trusted.
struct FilmTestFrameOptions {
  /// True where the exposures of the log were found with something surer than the camera's own
  /// meter, so that they count as absolute.
  bool trusted_meter = false;
  /// Standard deviation of each exposure about its mark, stops.
  double exposure_sigma_stops = 0.08;
};

/// Steps of a film test from a reviewed roll: frames of one evenly lit subject, each with a row of
/// the log. The density of a step is the median over the middle half of the frame, net of base;
/// frames as thin as base count. Exposures come from shutter and aperture, else from compensation,
/// with the metered frame's as the aim. Frames with no row, no density zero, denser than the scan
/// reads or unevenly lit (middle half of the apertures spread over more than a third of a stop) are
/// left out, with the reason. Throws InputError (malformed) where fewer than 4 remain.
FilmTestFrames film_test_from_frames(const Analysis& analysis,
                                     const FilmTestFrameOptions& options = {});

}  // namespace basefog::roll

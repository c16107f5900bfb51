// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <opencv2/core.hpp>

#include "area/film_tones.hpp"

namespace basefog::area {

/// 255 where a cell of an index is asked for, 0 elsewhere.
cv::Mat1b cells_where(const FilmTones& tones, auto&& predicate) {
  cv::Mat1b out(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      out(y, x) = predicate(static_cast<std::size_t>(y) * tones.width + x) ? 255 : 0;
    }
  }
  return out;
}

/// Two bright tones that may be bare light and clear film.
struct BrightTones {
  double bare;
  double bare_near;  ///< how far from it cells still have it
  double clear;
  double clear_near;
};

/// Whether the first tone lies around film that begins with the second: film begins with clear
/// film, and a picture is surrounded by it, not by bare light.
bool film_within_light(const FilmTones& tones, const BrightTones& bright);

}  // namespace basefog::area

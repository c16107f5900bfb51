// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/film_format.hpp"

#include <algorithm>
#include <array>
#include <string>

namespace basefog::area {
namespace {

// Frames of 35 mm film are a whole number of perforations apart: eight for 24x36, so 38.0 mm
// [ISO1007]. Sizes of pictures, and gaps on roll film: common practice.
constexpr std::array<FilmFormat, 17> kFormats = {{
    {"24x36", 36, 24, 8 * kPerforationPitch, 0.0},
    {"60x60", 56, 56, 61, 0.0},
    {"18x24", 18, 24, 4 * kPerforationPitch, 0.1},
    {"45x60", 41.5, 56, 46, 0.1},
    {"60x70", 69.5, 56, 75, 0.1},
    {"60x70", 66.6, 56, 72, 0.15},
    {"60x90", 83, 56, 89, 0.15},
    {"60x80", 76, 56, 82, 0.25},
    {"24x24", 24, 24, 6 * kPerforationPitch, 0.3},
    {"24x65", 65, 24, 14 * kPerforationPitch, 0.3},
    {"60x120", 112, 56, 118, 0.4},
    {"60x120", 120, 56, 126, 0.4},
    {"60x170", 168, 56, 175, 0.5},
    {"100x125", 121, 96, 0, 0.3},
    {"90x120", 116, 86, 0, 0.4},
    {"130x180", 173, 122, 0, 0.4},
    {"200x250", 245, 195, 0, 0.4},
}};

}  // namespace

std::span<const FilmFormat> film_formats() { return kFormats; }

std::vector<FilmFormat> formats_named(std::string_view name) {
  const std::size_t by = name.find('x');
  std::string turned;
  if (by != std::string_view::npos) {
    turned = std::string(name.substr(by + 1)) + 'x' + std::string(name.substr(0, by));
  }
  std::vector<FilmFormat> out;
  std::copy_if(kFormats.begin(), kFormats.end(), std::back_inserter(out),
               [&](const FilmFormat& f) { return f.name == name || f.name == turned; });
  return out;
}

}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace basefog::area {

/// A picture format and how its frames lie on film, in mm. Cameras differ by half a millimetre or
/// so, and formats of roll film by their gaps; 35 mm film is moved on by whole perforations.
struct FilmFormat {
  std::string_view
      name;           ///< nominal, "24x36"; formats that cameras make in two lengths stand twice
  double along = 0;   ///< of the picture, in the film's direction
  double across = 0;  ///< of the picture
  double pitch = 0;   ///< from frame to frame; 0 for sheet film
  /// How readily it is assumed where several would do; 0 most.
  double reluctance = 0;

  /// Length along the film in heights across it.
  double ratio() const { return along / across; }
};

/// Pitch of the perforations of 35 mm film, mm [ISO1007].
inline constexpr double kPerforationPitch = 4.75;

/// All formats that are known, most common first.
std::span<const FilmFormat> film_formats();

/// The formats of a name, whichever side is named first ("36x24", "24x36"); none for an unknown
/// one.
std::vector<FilmFormat> formats_named(std::string_view name);

}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets of film as hands lay them on the glass, drawn by lot.
#pragma once

#include <cstdint>
#include <string_view>

#include "makers/strewn_film.hpp"

namespace validation {

/// What is odd about a sheet. apart: nothing is, strips lie side by side.
enum class Lie {
  apart,
  touching,     ///< strips meet at a corner, an end or along a side, a degree or two between them
  overlapping,  ///< by their edges, up to 1.5 mm
  askew,        ///< up to 5 degrees to each other
  cut,          ///< of 1 to 6 frames, some cut through a frame
  curled,       ///< edges bowed by up to a millimetre
  sleeved,      ///< in a clear sleeve, with its seams and streaks of light
  handled,      ///< fingers at their ends, a ruler beside them, upside down
  mounted,      ///< frames in opaque mounts
  roll_film,    ///< 120, strips of three, touching now and then
  half_frames,
  panoramic,   ///< one strip of 24 x 65 among 24 x 36
  plain,       ///< frames among others that are clear or evenly dark, one split in two halves
  off_glass,   ///< a strip that the glass's border cuts
  everything,  ///< several of these at once
};
inline constexpr int kLies = 15;
std::string_view name_of(Lie lie);

/// The sheet of a number; the same on every run.
basefog::strewn::Glass draw_sheet(Lie lie, std::uint64_t seed, int number);

}  // namespace validation

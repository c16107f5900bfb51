// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace basefog::area {

/// What lies on one scan.
enum class ScanContent : std::uint8_t {
  single,  ///< one frame
  strip,   ///< one strip of frames
  sheet,   ///< several strips
};
/// A direction on a scan.
enum class Heading : std::uint8_t {
  right,  ///< x grows
  left,   ///< x falls
  down,   ///< y grows
  up,     ///< y falls
};

/// What a person knows of how film lies on a scan. Whatever is not said is found.
struct LayoutHint {
  /// One frame; one strip of frames; several strips.
  std::optional<ScanContent> content;
  std::string format;                  ///< name of a FilmFormat; empty: any
  std::optional<int> frames;           ///< on a full strip, 1 to 60
  std::optional<int> strips;           ///< 1 to 40
  std::optional<Heading> order;        ///< where on the scan the next frame of a strip lies
  std::optional<Heading> strip_order;  ///< where the next strip lies

  /// True where nothing is said, so that all is to be found.
  bool empty() const {
    return !content && format.empty() && !frames && !strips && !order && !strip_order;
  }
};

/// Reads words separated by commas: one of single, strip and sheet; a format such as 24x36;
/// frames=N; strips=N; order=right, left, down or up; next-strip= likewise. "sheet,24x36,frames=6".
/// Throws InputError (usage) for anything else, naming what is known.
LayoutHint parse_layout(std::string_view text);

}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
// The orders in which a roll may have been scanned, and what the numbers of files and rows show.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/matching/matching.hpp"

namespace basefog::matching {

/// One way in which the scans may lie on the film.
struct ScanOrder {
  FilmDirection direction = FilmDirection::forward;
  std::vector<std::size_t> frames;  ///< first exposed first, as indices into the frames given
  double prior = 0;
  ScanWay way = ScanWay::as_given;
  std::size_t strip = 0;  ///< scans in a strip, where the way goes by strips
};

/// All orders worth weighing, none twice; priors sum to 1.
std::vector<ScanOrder> possible_orders(std::span<const MatchFrame> frames);

/// The number in a label: 7 for "7", 7.5 for "7A", which lies half a frame on.
std::optional<double> number_in(const std::string& label);

/// A sequence with places that hold nothing, where numbers say that an element is missing.
using Places = std::vector<std::optional<std::size_t>>;

/// What numbering needs to know of a frame or a row.
struct Numbered {
  std::string label;    ///< empty for none
  bool picture = true;  ///< false for a blank frame, and a row that says that there is no picture
};

/// How frames and rows lie against each other before anything else is known.
struct Numbering {
  Places frames;  ///< places in film order, holding indices into `ScanOrder::frames`
  Places rows;    ///< holding indices into the log's rows
  bool frames_numbered = false;
  bool rows_numbered = false;
  double prior = 1;

  /// Both sides are numbered by the film: whatever is missing shows.
  bool both_numbered() const { return frames_numbered && rows_numbered; }
};

/// The numberings that are possible under an order. frames: in film order. Priors sum to about 1,
/// or to less where the numbers speak against the order.
std::vector<Numbering> possible_numberings(const std::vector<Numbered>& frames,
                                           const std::vector<Numbered>& rows);

}  // namespace basefog::matching

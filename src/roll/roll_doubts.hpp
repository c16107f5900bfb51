// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// A fault that no frame shows alone, but the frames of a roll do together.
struct RollDoubt {
  Warning warning;
  std::vector<std::size_t> frames;  ///< that it flags
};

/// Where the film was taken for black-and-white and most of its frames show hues: those frames.
std::optional<RollDoubt> check_hues(std::span<const ReferencedFrame> frames,
                                    const film::FilmProfile& film);

/// What the densities of a roll say against how it was scanned and which film it was taken for:
/// those of response_found and check_response, and that of check_hues where nobody named the film.
std::vector<RollDoubt> doubts_of_roll(std::span<const ReferencedFrame> frames,
                                      const film::FilmProfile& film, const ReviewOptions& options);

}  // namespace basefog::roll

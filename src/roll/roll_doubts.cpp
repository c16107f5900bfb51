// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/roll_doubts.hpp"

#include <utility>

#include "roll/film_hues.hpp"
#include "roll/response_evidence.hpp"

namespace basefog::roll {

std::vector<RollDoubt> doubts_of_roll(std::span<const ReferencedFrame> frames,
                                      const film::FilmProfile& film, const ReviewOptions& options) {
  std::vector<RollDoubt> doubts;
  if (auto found = response_found(frames)) doubts.push_back(*std::move(found));
  if (auto response = check_response(frames)) doubts.push_back(*std::move(response));
  if (options.film) return doubts;
  if (auto hues = check_hues(frames, film)) doubts.push_back(*std::move(hues));
  return doubts;
}

}  // namespace basefog::roll

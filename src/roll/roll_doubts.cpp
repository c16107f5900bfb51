// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/roll_doubts.hpp"

#include <utility>

#include "evidence/hue_spread.hpp"
#include "numeric/quantile.hpp"
#include "roll/response_evidence.hpp"

namespace basefog::roll {

std::optional<RollDoubt> check_hues(std::span<const ReferencedFrame> frames,
                                    const film::FilmProfile& film) {
  // Spread that gray film does not reach. Simulated scans of twenty panoramas on black-and-white
  // film have 0.001, 0.005 as JPEG of 8 bits, 0.022 where the channels lie a pixel of 0.05 mm
  // apart and the light is of another colour at one side by 4 %; on colour film half of them have
  // 0.05 and more, and four of twenty, gray scenes, less than this.
  constexpr double kHues = 0.03;
  if (film.layers.size() != 1) return std::nullopt;
  std::vector<double> spreads;
  RollDoubt doubt{.warning = {std::nullopt, Flag::hues_on_gray_film}};
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].state != density::FrameState::measured) continue;
    const auto spread = evidence::hue_spread(frames[i].measurement, frames[i].base);
    if (!spread) continue;
    spreads.push_back(*spread);
    if (*spread > kHues) doubt.frames.push_back(i);
  }
  // One frame may be stained or badly lit; a film is of one kind.
  if (spreads.empty() || numeric::median(spreads) <= kHues) return std::nullopt;
  return doubt;
}

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

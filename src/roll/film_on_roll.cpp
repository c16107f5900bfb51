// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <algorithm>
#include <vector>

#include "basefog/development.hpp"

namespace basefog {

void allow_for_push(Analysis& analysis) {
  if (!analysis.log) return;
  // A roll is developed as one, so the middle of what the rows say is what the lab was asked for.
  std::vector<Stops> asked;
  for (const LogRow& row : analysis.log->rows) {
    if (row.push) asked.push_back(*row.push);
  }
  if (asked.empty()) return;
  std::sort(asked.begin(), asked.end());
  analysis.film = developed(analysis.film, asked[asked.size() / 2]);
}

bool learn_film(Analysis& analysis) {
  if (!analysis.log) return false;
  std::vector<SeriesFrame> frames;
  for (const FrameResult& frame : analysis.frames) {
    if (frame.state != FrameState::measured || !frame.log_row) continue;
    if (frame.flags.contains(Flag::match_doubtful)) continue;
    const LogRow& row = analysis.log->rows[*frame.log_row];
    frames.push_back({&frame.measurement, &frame.reference,
                      logged_exposure(row, analysis.film.reciprocity),
                      frame.measurement.label.empty() ? frame.measurement.file.filename().string()
                                                      : frame.measurement.label});
  }
  analysis.series = contrast_from_series(frames, analysis.film);
  if (!analysis.series || !analysis.series->factor.two_sided()) return false;
  // A film test is surer than a short series; the series then only stands beside it.
  if (analysis.series->film.contrast_relative_sigma >= analysis.film.contrast_relative_sigma) {
    return false;
  }
  analysis.film = analysis.series->film;
  return true;
}

}  // namespace basefog

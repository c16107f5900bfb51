// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/log_comparison.hpp"

#include <cmath>

#include "basefog/log/scene_light.hpp"
#include "roll/asked_exposure.hpp"

namespace basefog::roll {
namespace {

/// Exposure less what was expected; their errors are independent.
StopsEstimate difference(const Estimate<ExposureFromAim>& exposure, ExposureFromAim expected,
                         Stops expected_sigma) {
  const double wider = kNormal975 * expected_sigma.value();
  StopsEstimate result{exposure.value - expected, {}, {}};
  if (exposure.low) {
    result.low = result.value - Stops(std::hypot((exposure.value - *exposure.low).value(), wider));
  }
  if (exposure.high) {
    result.high =
        result.value + Stops(std::hypot((*exposure.high - exposure.value).value(), wider));
  }
  return result;
}

/// Takes a setting out where the rows do not share it. setting: what of a row it is.
template <class Setting>
void keep_shared(log::LogRow& row, const MatchedLog& rows,
                 std::span<const matching::PossibleRow> possible, double all,
                 const Setting& setting) {
  constexpr double kShared = 0.9;
  double shared = 0;
  for (const matching::PossibleRow& other : possible) {
    if (!other.row) continue;
    log::LogRow there = rows.log->rows[*other.row];
    if (setting(there) == setting(row)) shared += other.probability;
  }
  if (shared < kShared * all) setting(row) = {};
}

/// Sums over the rows that a doubtful frame may have. Nothing where it more probably has none.
std::optional<RowsTogether> sum_over_rows(std::size_t frame, const MatchedLog& rows,
                                          const film::FilmProfile& film) {
  const matching::FrameMatch& match = rows.matching->frames[frame];
  double all = 0;
  double mean = 0;
  double squares = 0;
  for (const matching::PossibleRow& possible : match.possible) {
    if (!possible.row) continue;
    const auto asked = asked_on_film(rows.log->rows[*possible.row], film);
    if (!asked) continue;
    all += possible.probability;
    mean += possible.probability * asked->value();
    squares += possible.probability * asked->value() * asked->value();
  }
  if (all < 0.5) return std::nullopt;
  mean /= all;
  RowsTogether together{.row = *rows.row_of(frame),
                        .expected = ExposureFromAim(mean),
                        .sigma = std::sqrt(std::max(0.0, squares / all - mean * mean))};
  const auto keep = [&](const auto& setting) {
    keep_shared(together.row, rows, match.possible, all, setting);
  };
  keep([](log::LogRow & row) -> auto& { return row.used.shutter; });
  keep([](log::LogRow & row) -> auto& { return row.used.aperture; });
  keep([](log::LogRow & row) -> auto& { return row.metered.shutter; });
  keep([](log::LogRow & row) -> auto& { return row.lens; });
  keep([](log::LogRow & row) -> auto& { return row.mode; });
  return together;
}

/// The scene's own light, by settings and exposure, whether the row's words can mean it, and what
/// was asked for against what the film got.
LoggedFrame compared(LoggedFrame frame, const film::FilmProfile& film) {
  const log::LogRow& row = *frame.row;
  const Estimate<ExposureFromAim>& exposure = frame.reading->exposure.estimate;
  const film::ReciprocityLoss reciprocity = loss_of(row, film);
  frame.scene_ev = log::scene_ev_100(row, film.iso_speed, exposure, reciprocity.loss);
  if (frame.scene_ev && log::scene_contradiction(row, *frame.scene_ev)) {
    frame.flags.insert(Flag::log_contradicts_scene);
  }
  if (row.doubtful) frame.flags.insert(Flag::log_value_doubtful);
  frame.expected = log::expected_exposure(row, film.iso_speed);
  if (!frame.expected) return frame;

  frame.expected = *frame.expected - reciprocity.loss;
  frame.expected_sigma = reciprocity.sigma;
  if (reciprocity.loss > Stops(0)) frame.flags.insert(Flag::reciprocity_uncertain);
  frame.deviation = difference(exposure, *frame.expected, frame.expected_sigma);
  frame.technique = frame.reading->correction.estimate.value + frame.deviation->value;
  return frame;
}

}  // namespace

std::vector<LoggedFrame> compare_with_log(std::span<const ReferencedFrame> frames,
                                          const FrameReadings& readings, const MatchedLog& rows,
                                          const film::FilmProfile& film) {
  std::vector<LoggedFrame> logged;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const log::LogRow* row = rows.row_of(i);
    if (row == nullptr || !readings[i]) continue;
    LoggedFrame frame{.frame = i,
                      .row = row,
                      .reading = &*readings[i],
                      .reference = frames[i].base.kind,
                      .sure = !rows.is_doubtful(i)};
    if (!frame.sure) frame.together = sum_over_rows(i, rows, film);
    logged.push_back(compared(std::move(frame), film));
  }
  return logged;
}

}  // namespace basefog::roll

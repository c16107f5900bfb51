// SPDX-License-Identifier: GPL-3.0-or-later
// How the readings of a study did against the truth.
#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "validation/study.hpp"

namespace validation {

std::string_view name_of(AnswerKind kind) {
  constexpr std::array<std::string_view, basefog::kCountOf<AnswerKind>> kNames = {
      "exposure", "shadow reserve", "highlight reach", "highlight room", "correction"};
  return kNames.at(static_cast<std::size_t>(kind));
}

basefog::reading::Answer<basefog::Stops> answer_of(const basefog::reading::FrameReading& reading,
                                                   AnswerKind kind) {
  switch (kind) {
    case AnswerKind::exposure:
      return in_stops(reading.exposure);
    case AnswerKind::shadow_reserve:
      return in_stops(reading.shadow_reserve);
    case AnswerKind::highlight_reach:
      return in_stops(reading.highlight_reach);
    case AnswerKind::highlight_room:
      return reading.highlight_room;
    case AnswerKind::correction:
      break;
  }
  return reading.correction;
}

double truth_of(const simulator::FrameTruth& truth, AnswerKind kind) {
  switch (kind) {
    case AnswerKind::exposure:
      return truth.exposure;
    case AnswerKind::shadow_reserve:
      return truth.shadow_reserve;
    case AnswerKind::highlight_reach:
      return truth.highlight_reach;
    case AnswerKind::highlight_room:
      return truth.highlight_room;
    case AnswerKind::correction:
      break;
  }
  return truth.correction;
}

Score score(const std::vector<Outcome>& outcomes, AnswerKind kind) {
  Score result;
  double sum = 0;
  double squares = 0;
  int held = 0;
  std::vector<double> widths;
  for (const Outcome& outcome : outcomes) {
    if (!outcome.reading) continue;
    const basefog::StopsEstimate estimate = answer_of(*outcome.reading, kind).estimate;
    const double truth = truth_of(outcome.truth, kind);
    ++result.frames;
    if (!estimate.two_sided()) throw std::logic_error("an answer without two ends");
    if (estimate.low->value() <= truth && truth <= estimate.high->value()) ++held;
    const double error = estimate.value.value() - truth;
    result.near += std::abs(error) <= 0.5 ? 1 : 0;
    sum += error;
    squares += error * error;
    widths.push_back((*estimate.high - *estimate.low).value());
  }
  if (result.frames == 0) return result;
  result.coverage = static_cast<double>(held) / result.frames;
  result.near /= result.frames;
  result.bias = sum / result.frames;
  result.rms = std::sqrt(squares / result.frames);
  std::sort(widths.begin(), widths.end());
  result.width = widths[widths.size() / 2];
  return result;
}

double right_verdicts(const std::vector<Outcome>& outcomes, int& judged) {
  judged = 0;
  int right = 0;
  for (const Outcome& outcome : outcomes) {
    if (!outcome.reading) continue;
    const double c = std::abs(outcome.truth.correction);
    if (std::min(std::abs(c - 0.5), std::abs(c - 1.5)) < 1.0 / 3) continue;
    ++judged;
    if (name_of(outcome.reading->verdict) == outcome.truth.verdict) ++right;
  }
  return judged > 0 ? static_cast<double>(right) / judged : 0;
}

double right_at_chances(const std::vector<Outcome>& outcomes, double from, double to, int& told) {
  told = 0;
  int right = 0;
  for (const Outcome& outcome : outcomes) {
    if (!outcome.reading || outcome.reading->verdict_chance < from ||
        outcome.reading->verdict_chance >= to) {
      continue;
    }
    ++told;
    if (name_of(outcome.reading->verdict) == outcome.truth.verdict) ++right;
  }
  return told > 0 ? static_cast<double>(right) / told : 0;
}

}  // namespace validation

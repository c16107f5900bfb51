// SPDX-License-Identifier: GPL-3.0-or-later
// How the readings of a study did against the truth.
#include <algorithm>
#include <array>
#include <cmath>

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
    const bool low = !estimate.low || estimate.low->value() <= truth;
    const bool high = !estimate.high || truth <= estimate.high->value();
    if (low && high) ++held;
    const double error = estimate.value.value() - truth;
    result.rms_all += error * error;
    result.near += std::abs(error) <= 0.5 ? 1 : 0;
    if (!estimate.two_sided()) continue;
    ++result.two_sided;
    sum += error;
    squares += error * error;
    widths.push_back((*estimate.high - *estimate.low).value());
  }
  if (result.frames > 0) {
    result.coverage = static_cast<double>(held) / result.frames;
    result.rms_all = std::sqrt(result.rms_all / result.frames);
    result.near /= result.frames;
  }
  if (result.two_sided > 0) {
    result.bias = sum / result.two_sided;
    result.rms = std::sqrt(squares / result.two_sided);
    std::sort(widths.begin(), widths.end());
    result.width = widths[widths.size() / 2];
  }
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

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/roll_summary.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "basefog/report/next_roll_wording.hpp"
#include "numeric/quantile.hpp"
#include "report/warning_groups.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// A picture within half a stop needs nothing; beyond, every stop counts (judgement).
constexpr double kGoodEnough = 0.5;
/// What a frame that could not be measured counts for, in stops (judgement).
constexpr double kUnknownFrame = 2;

void add_frame(RollSummary& roll, const roll::FrameResult& frame, const std::string& name,
               double& worst) {
  const Outcome outcome = outcome_of(frame);
  switch (outcome) {
    case Outcome::well_exposed:
      ++roll.well_exposed;
      break;
    case Outcome::under:
      ++roll.under;
      break;
    case Outcome::over:
      ++roll.over;
      break;
    case Outcome::unsure:
      ++roll.unsure;
      break;
    case Outcome::blank:
      ++roll.blank;
      return;
    case Outcome::not_measured:
      ++roll.not_measured;
      roll.attention += kUnknownFrame;
      return;
  }
  const double missed = std::abs(frame.reading->correction.estimate.value.value());
  roll.attention += std::max(0.0, missed - kGoodEnough);
  if ((outcome == Outcome::under || outcome == Outcome::over) && missed > worst) {
    worst = missed;
    roll.worst_frame = name;
    roll.worst_words = picture_text(frame);
  }
}

std::optional<ExposureFromAim> median_exposure(const roll::Analysis& analysis) {
  std::vector<double> stops;
  for (const roll::FrameResult& frame : analysis.frames) {
    if (frame.reading && is_known(frame.reading->exposure.estimate)) {
      stops.push_back(frame.reading->exposure.estimate.value.value());
    }
  }
  if (stops.empty()) return std::nullopt;
  return ExposureFromAim(numeric::median(std::move(stops)));
}

/// The first warning that costs a number, with the frames that it is of.
std::string trouble_of(const roll::Analysis& analysis) {
  for (const WarningGroup& group : grouped_warnings(analysis)) {
    const bool costs = group.flag == Flag::unreadable_file || group.flag == Flag::no_reference ||
                       group.flag == Flag::exposure_not_locked || group.flag == Flag::positive;
    if (costs) return place_text(group) + ": " + group.text + " " + group.next_step;
  }
  return "";
}

/// The plan's own sentences; where something comes first, that.
std::string next_time_of(const roll::Analysis& analysis) {
  std::string text;
  const auto add = [&text](const AdviceWords& words) {
    text += (text.empty() ? "" : " ") + words.text();
  };
  if (analysis.next_roll) std::ranges::for_each(plan_words(*analysis.next_roll), add);
  if (text.empty() && !analysis.advice.empty()) add(advice_words(analysis.advice.front()));
  return text;
}

}  // namespace

RollSummary summarise(const std::string& name, const roll::Analysis& analysis) {
  RollSummary roll{.name = name};
  roll.frames = analysis.frames.size();
  const std::vector<std::string> names = frame_names(analysis);
  double worst = 0;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    add_frame(roll, analysis.frames[i], names[i], worst);
  }
  if (roll.frames > 0) roll.attention /= static_cast<double>(roll.frames);
  roll.median_exposure = median_exposure(analysis);
  if (analysis.meter && analysis.meter->bias && is_known(*analysis.meter->bias)) {
    roll.bias = analysis.meter->bias;
  }
  roll.warnings = grouped_warnings(analysis).size();
  roll.with_log = analysis.log.has_value();
  roll.trouble = trouble_of(analysis);
  roll.next_time = next_time_of(analysis);
  return roll;
}

bool needs_more_attention(const RollSummary& a, const RollSummary& b) {
  if (a.failure.empty() != b.failure.empty()) return !a.failure.empty();
  if (a.attention != b.attention) return a.attention > b.attention;
  return a.name < b.name;
}

}  // namespace basefog::report

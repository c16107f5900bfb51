// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/next_roll_wording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "core/thirds.hpp"
#include "report/stops_text.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

AdviceWords dial_words(const plan::NextRoll& plan) {
  const std::string was = as_marked(plan.dialled);
  const std::string index = as_marked(plan.dial.index);
  if (plan.dial.index == plan.dialled) {
    const bool allows = !plan.add.empty();
    return {.before = allows ? "Leave the dial at " : "Keep the dial at ",
            .setting = index,
            .after = allows ? "."
                     : plan.state == plan::PlanState::as_asked
                         ? ", with no allowance: the camera gives what is asked of it to within a "
                           "third of a stop."
                         : ", with no allowance: the camera's error is not known well enough to "
                           "change anything."};
  }
  if (plan.dial.compensation == Stops(0)) {
    return {.before = "Set the dial to ", .setting = index, .after = " instead of " + was + "."};
  }
  return {.before = "Set the dial to ",
          .setting = as_marked(plan.dial.mark) + " and compensation " +
                     stops_in_thirds(plan.dial.compensation),
          .after = ", as for a film of " + index + "."};
}

/// An allowance, and what was seen that calls for it. bias: of the camera.
AdviceWords line_words(const plan::Allowance& one, const StopsEstimate& bias) {
  const std::string seen = estimate_text(one.seen);
  const std::string gives = " gives " + signed_stops(bias.value + one.seen.value) + " in all, " +
                            seen + " against the other";
  AdviceWords words{.setting = one.level,
                    .after = " " + add_text(one.stops) + " than the meter then says."};
  switch (one.what) {
    case plan::AllowanceFor::shutter:
      words.before = "At ";
      words.evidence = one.level + gives + " speeds";
      break;
    case plan::AllowanceFor::lens:
      words.before = "With the lens ";
      words.evidence = "the lens " + one.level + gives + "s";
      break;
    case plan::AllowanceFor::scene:
      words.before = "For ";
      words.evidence = one.level + " needed " + seen + " beyond a true meter";
      break;
  }
  return words;
}

/// Why the dial moves by less than the camera gave; empty where it does not.
std::string part_text(const plan::NextRoll& plan) {
  constexpr Stops kLeft{0.25};  // nearly a third, the step of dials
  const Stops moved(exact(plan.dial.index).speed_value() - exact(plan.dialled).speed_value());
  if (!plan.bias.two_sided() || abs(plan.bias.value) < abs(moved) + kLeft) return "";
  const double doubt = (*plan.bias.high - *plan.bias.low).value() / 2;
  return fmt::format(" The dial takes up a part of {:+.1f}, which is known to within {:.1f}.",
                     plan.bias.value.value(), doubt);
}

}  // namespace

std::string add_text(Stops stops) {
  const std::string amount = stops_in_thirds(abs(stops)).substr(1);  // without the sign
  const bool several = to_nearest_third(abs(stops)) > Stops(1);
  return "give " + amount + (several ? " stops " : " stop ") + (stops > Stops(0) ? "more" : "less");
}

std::vector<AdviceWords> plan_words(const plan::NextRoll& plan) {
  if (plan.state == plan::PlanState::held_up) return {};
  std::vector<AdviceWords> words{dial_words(plan)};
  words.front().set = "EI " + as_marked(plan.dial.index);
  words.front().evidence = "the camera gave " + evidence_text(plan.bias, plan.frames);
  for (const plan::Allowance& one : plan.add) words.push_back(line_words(one, plan.bias));
  return words;
}

std::string promise_text(const plan::NextRoll& plan) {
  if (plan.state != plan::PlanState::change) return "";
  return fmt::format(
             "With a chance of {:.0f} % that does better than before on this film and development: "
             "a "
             "frame is then off by {:.1f} stop on average instead of {:.1f}.",
             100 * plan.chance_better, plan.expected_error.after, plan.expected_error.before) +
         part_text(plan);
}

std::vector<std::string> next_time_sentences(const std::optional<plan::NextRoll>& plan,
                                             const std::vector<roll::Advice>& advice) {
  std::vector<std::string> sentences;
  if (plan) {
    std::string text;
    for (const AdviceWords& words : plan_words(*plan)) {
      // What the camera gave stands above the plan wherever it is written as text.
      text += text.empty() ? words.text() : " " + words.with_evidence();
    }
    if (!text.empty()) sentences.push_back(text);
    if (const std::string promise = promise_text(*plan); !promise.empty()) {
      sentences.push_back(promise);
    }
  }
  std::ranges::move(advice_sentences(advice), std::back_inserter(sentences));
  return sentences;
}

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/roll_wording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/thirds.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// Less likely findings are not said; sure ones are said without "may"; and where all are this
/// unlikely the roll is normal (judgement).
constexpr double kLikely = 0.6;
constexpr double kSure = 0.9;
constexpr double kUnlikely = 0.15;

struct Suspicion {
  double chance;
  const char* words;
  const char* sign;
};

/// What a roll may be off by, the likeliest first.
std::vector<Suspicion> suspicions(const roll::RollDevelopment& roll) {
  std::vector<Suspicion> all = {
      {roll.under_exposed, "under-exposed", "its shadows are thin"},
      {roll.over_exposed, "over-exposed", "its shadows are full and its highlights dense"},
      {roll.under_developed, "under-developed",
       "its shadows and highlights lie closer together than scenes make them"},
      {roll.over_developed, "over-developed",
       "its shadows and highlights lie farther apart than scenes make them"}};
  std::ranges::stable_sort(all, std::ranges::greater{}, &Suspicion::chance);
  return all;
}

}  // namespace

std::string development_text(const roll::RollDevelopment& roll) {
  const std::vector<Suspicion> all = suspicions(roll);
  std::string text;
  for (const Suspicion& one : all) {
    if (one.chance < kLikely) break;
    text +=
        fmt::format("{} {} {} ({:.0f} %): {}.", text.empty() ? "The whole roll" : " It also",
                    one.chance < kSure ? "may be" : "looks", one.words, 100 * one.chance, one.sign);
  }
  if (text.empty() && all.front().chance < kUnlikely) {
    text = "Exposure and development of the roll as a whole look normal.";
  } else if (text.empty()) {
    text = fmt::format(
        "Whether the roll is off in exposure or in development cannot be told: {} is likeliest, at "
        "{:.0f} %. A bracket of one view on the roll would tell.",
        all.front().words, 100 * all.front().chance);
  }
  if (roll.high_fog) {
    text += fmt::format(
        " Its base and fog of {:.2f} is high, which may be long development, old film or light "
        "that leaked in.",
        roll.high_fog->value());
  }
  return text;
}

std::string development_step(const roll::RollDevelopment& roll) {
  const bool over = roll.over_developed >= kLikely;
  if (!over && roll.under_developed < kLikely) return "";
  // Half a stop either way is what a scene's contrast can be eased by (common practice).
  switch (roll.developed_by) {
    case roll::DevelopedBy::self:
      return over ? "Develop the next roll for less time." : "Develop the next roll longer.";
    case roll::DevelopedBy::lab:
      return over
                 ? "Ask the lab to develop the next roll less; where it will not, give scenes in "
                   "hard light half a stop less."
                 : "Ask the lab to develop the next roll longer; where it will not, give scenes in "
                   "flat light half a stop more.";
    case roll::DevelopedBy::unknown:
      break;
  }
  return over ? "Develop the next roll for less time, or ask the lab to."
              : "Develop the next roll longer, or ask the lab to.";
}

std::string not_identifiable_text(const meter::NotIdentifiable& open) {
  switch (open.what) {
    case meter::Confounded::too_few_frames:
      return "Fewer than three frames have both a reading and a row in the log, too few to find "
             "the meter's bias.";
    case meter::Confounded::meter_speed_development:
      return "One roll cannot tell the meter from the film's speed and the development: the bias "
             "is that of all three together.";
    case meter::Confounded::meter_development:
      return "The film's speed was measured apart from the meter; one roll cannot tell the meter "
             "from this roll's development.";
    case meter::Confounded::meter_speed:
      return "All rolls are on one film, so that its true speed is part of the bias: a roll on "
             "another film, or a film test with exposures known apart from the meter, would tell.";
    case meter::Confounded::levels:
      break;
  }
  return open.level + " and " + open.other_level +
         " were mostly used together, so what belongs to which cannot be told.";
}

std::vector<std::string> not_identifiable_texts(const meter::MeterBias& meter) {
  std::vector<std::string> texts;
  std::ranges::transform(meter.not_identifiable, std::back_inserter(texts), not_identifiable_text);
  return texts;
}

std::string previous_roll_text(const roll::Analysis& analysis) {
  if (!analysis.previous_roll) return "";
  const meter::PreviousRoll& before = *analysis.previous_roll;
  const bool known = before.bias && is_known(*before.bias);
  const std::optional<double> rms = meter::rms_deviation(analysis.deviations);
  return fmt::format("Previous roll ({}{}): {}over {}; frames off by {:.1f} rms{}.", before.name,
                     before.date.empty() ? "" : ", " + before.date.substr(0, 10),
                     known ? estimate_text(*before.bias) + " " : "", frames_text(before.frames),
                     before.rms, rms ? fmt::format(", {:.1f} on this one", *rms) : "");
}

std::string technique_text(const meter::SceneTechnique& technique) {
  std::string text = fmt::format("{}{}: {} ({}), {}", technique.scene,
                                 technique.mode ? ", " + spaced(name_of(*technique.mode)) : "",
                                 stops_in_thirds(technique.stops.value),
                                 interval_text(technique.stops), frames_text(technique.frames));
  if (std::abs(technique.asked.value()) >= kThird / 2) {
    text += fmt::format("; {} was asked for", stops_in_thirds(technique.asked));
  }
  return text;
}

}  // namespace basefog::report

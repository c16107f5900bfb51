// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/replacement_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// As the compensation dial is marked.
std::string on_its_dial(const log::DialledCompensation& compensation) {
  if (compensation.step != Stops(0.5)) return stops_in_thirds(compensation.stops);
  return compensation.stops == Stops(0) ? "0" : fmt::format("{:+g}", compensation.stops.value());
}

std::string setting_text(const log::Replacement& replacement) {
  const log::EquivalentSettings& settings = replacement.settings;
  const std::string marks = as_marked(settings.shutter) + " " + as_marked(settings.aperture);
  if (!replacement.compensation || replacement.changed == log::SettingChanged::both) return marks;
  const std::string dialled = on_its_dial(*replacement.compensation);
  const Stops was = replacement.compensation->was;
  const std::string instead = was == Stops(0) ? "" : " instead of " + stops_in_thirds(was);
  return replacement.compensation->beyond_dial
             ? fmt::format("{} by hand, {} being beyond the compensation dial", marks, dialled)
             : fmt::format("compensation {}{} (about {})", dialled, instead, marks);
}

std::vector<std::string> costs_of(const log::EquivalentSettings& settings) {
  // Below these nobody sees the difference (judgement).
  constexpr double kSmears = 1.2;
  constexpr double kShallower = 0.9;
  std::vector<std::string> costs;
  if (abs(settings.off) > log::kUnseenInPrint) {
    costs.push_back(fmt::format("{:.1f} stop {} than wanted", std::abs(settings.off.value()),
                                settings.off > Stops(0) ? "more" : "less"));
  }
  if (settings.below_hand_hold) {
    costs.push_back(fmt::format("on a tripod, beyond the {} that hands hold",
                                as_marked(settings.hand_hold_limit)));
  }
  if (settings.blur > kSmears) {
    costs.push_back(fmt::format("movement smears {:.2g} times as far", settings.blur));
  }
  if (settings.depth_of_field < kShallower) {
    costs.push_back(
        fmt::format("depth of field about {:.0f} % of before", 100 * settings.depth_of_field));
  }
  return costs;
}

}  // namespace

std::string replacement_text(const log::Replacement& replacement) {
  const std::vector<std::string> costs = costs_of(replacement.settings);
  return fmt::format("{}{}{}.", setting_text(replacement), costs.empty() ? "" : ": ",
                     fmt::join(costs, "; "));
}

std::string no_replacement_text(log::NoReplacement why) {
  switch (why) {
    case log::NoReplacement::too_dark_with_bulb:
      return "No marked time and stop give that much exposure: use B and a watch, or faster film.";
    case log::NoReplacement::too_dark_without_bulb:
      return "No marked time and stop give that much exposure: use faster film or more light.";
    case log::NoReplacement::too_bright:
      break;
  }
  return "No marked time and stop give that little exposure: use a neutral density filter or "
         "slower film.";
}

std::vector<std::string> replacement_texts(const log::Replacements& replacements) {
  std::vector<std::string> texts;
  for (const log::Replacement& option : replacements.options) {
    texts.push_back(replacement_text(option));
  }
  if (replacements.none) texts.push_back(no_replacement_text(*replacements.none));
  return texts;
}

}  // namespace basefog::report

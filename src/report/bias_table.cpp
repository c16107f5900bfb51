// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/bias_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace {

std::string count_text(int count, const char* noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

void write_part(std::ostream& out, const std::string& heading,
                const std::vector<std::string>& sentences, const TerminalStyle& style) {
  if (sentences.empty()) return;
  out << '\n'
      << (style.colour ? "\x1b[1m" : "") << heading << (style.colour ? "\x1b[0m" : "") << '\n';
  for (const std::string& sentence : sentences) {
    out << report::wrap(report::printable(sentence), style.columns, 2);
  }
}

std::vector<std::string> now_sentences(const BiasHistory& history) {
  const MeterBias& meter = history.meter;
  if (!meter.bias) return meter.not_identifiable;
  std::vector<std::string> text{fmt::format(
      "Bias now: {} over {} and {}. Frames scatter by {:.1f}.", report::estimate_text(*meter.bias),
      count_text(meter.rolls, "roll"), count_text(meter.frames_used, "frame"), meter.scatter)};
  if (!meter.drift) {
    text.emplace_back("Over time: not known; it needs three dated rolls over two months or more.");
    return text;
  }
  text.push_back(fmt::format("Over {:.0f} days, {} to {}: {}.", meter.drift->days,
                             history.first_date.substr(0, 10), history.last_date.substr(0, 10),
                             report::estimate_text(meter.drift->change)));
  if (meter.drift->jump) {
    text.push_back(fmt::format("A jump before roll {}: {}.", meter.drift->jump_before_roll,
                               report::estimate_text(*meter.drift->jump)));
  }
  return text;
}

/// One factor's levels in one sentence each where they matter, together where not.
std::vector<std::string> effect_sentences(const BiasHistory& history) {
  std::vector<std::string> text;
  std::vector<std::string> quiet;
  for (const BiasEffect& effect : history.meter.effects) {
    if (effect.factor == "roll") continue;
    const bool always = effect.factor == "film" || effect.factor == "lens";
    const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
    std::string estimate = report::estimate_text(effect.stops);
    if (effect.factor == "light_level") {  // a tenth of a stop each EV is much
      estimate = fmt::format("{:+.2f} ({:+.2f} to {:+.2f})", effect.stops.value.value(),
                             effect.stops.low->value(), effect.stops.high->value());
    }
    if (always || sure) {
      text.push_back(fmt::format("{}: {} over {}.",
                                 report::sentence_case(report::effect_name(effect)), estimate,
                                 count_text(effect.frames, "frame")));
    } else {
      quiet.push_back(report::effect_name(effect));
    }
  }
  if (!quiet.empty()) text.push_back("No difference seen: " + report::list_text(quiet, 40) + ".");
  text.insert(text.end(), history.meter.not_identifiable.begin(),
              history.meter.not_identifiable.end());
  return text;
}

std::vector<std::string> misfit_sentences(const BiasHistory& history) {
  std::vector<std::string> text;
  for (const BiasEffect& roll : history.misfits) {
    text.push_back(fmt::format(
        "Roll {}: {} against the others. Film speed, development or another film in the camera "
        "than the log says.",
        roll.level, report::estimate_text(roll.stops)));
  }
  return text;
}

}  // namespace

void write_bias_table(std::ostream& out, const BiasHistory& history, const TerminalStyle& style) {
  const std::string camera = history.camera.empty() ? "no name" : history.camera;
  out << report::wrap(report::printable("Camera: " + camera +
                                        ". Film: " + report::list_text(history.films, 6) + "."),
                      style.columns, 0);
  write_part(out, "The meter (+ gives more than asked)", now_sentences(history), style);
  write_part(out, "What else differs", effect_sentences(history), style);
  write_part(out, "Rolls that do not fit", misfit_sentences(history), style);
  std::vector<std::string> scenes;
  for (const SceneTechnique& technique : history.techniques) {
    if (technique.frames > 1) scenes.push_back(technique.text + ".");
  }
  write_part(out, "Scenes, beyond a true meter", scenes, style);
  std::vector<std::string> advice;
  for (const Advice& one : history.advice) {
    advice.push_back(one.text + (one.evidence.empty() ? "" : " [" + one.evidence + "]"));
  }
  write_part(out, "Next time", advice, style);
}

void write_ledger_table(std::ostream& out, std::span<const RememberedRoll> rolls,
                        const TerminalStyle& style) {
  const int name = std::clamp(style.columns - 62, 12, 40);
  out << report::fit("roll", name) << ' ' << report::fit("camera", 18) << ' '
      << report::fit("date", 10) << ' ' << report::fit("film", 24) << " frames\n";
  for (const RememberedRoll& roll : rolls) {
    out << report::fit(report::printable(roll.name), name) << ' '
        << report::fit(report::printable(roll.camera), 18) << ' '
        << report::fit(report::printable(roll.date.substr(0, 10)), 10) << ' '
        << report::fit(report::printable(roll.film + ", ISO " + as_marked(roll.film_speed)), 24)
        << fmt::format(" {:>6}\n", roll.deviations.size());
  }
}

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/bias_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "basefog/report/next_roll_wording.hpp"
#include "basefog/report/roll_wording.hpp"
#include "report/markup.hpp"
#include "report/terminal_frames.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

std::vector<std::string> now_sentences(const meter::BiasHistory& history) {
  const meter::MeterBias& meter = history.meter;
  if (!meter.bias) return not_identifiable_texts(meter);
  std::vector<std::string> text{fmt::format(
      "Bias now: {} over {} roll{} and {}. Frames scatter by {:.1f}.", estimate_text(*meter.bias),
      meter.rolls, meter.rolls == 1 ? "" : "s", frames_text(meter.frames_used), meter.scatter)};
  if (!meter.drift) {
    text.emplace_back("Over time: not known; it needs three dated rolls over two months or more.");
    return text;
  }
  text.push_back(fmt::format("Over {:.0f} days, {} to {}: {}.", meter.drift->days,
                             history.first_date.substr(0, 10), history.last_date.substr(0, 10),
                             estimate_text(meter.drift->change)));
  if (meter.drift->jump) {
    text.push_back(fmt::format("A jump before roll {}: {}.", meter.drift->jump_before_roll,
                               estimate_text(*meter.drift->jump)));
  }
  return text;
}

/// One factor's levels in one sentence each where they matter, together where not.
std::vector<std::string> effect_sentences(const meter::BiasHistory& history) {
  std::vector<std::string> text;
  std::vector<std::string> quiet;
  for (const meter::BiasEffect& effect : history.meter.effects) {
    if (effect.factor == meter::BiasFactor::roll || !effect.stops.two_sided()) continue;
    const bool always =
        effect.factor == meter::BiasFactor::film || effect.factor == meter::BiasFactor::lens;
    const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
    if (always || sure) {
      text.push_back(fmt::format("{}: {} over {}.", sentence_case(effect_name(effect)),
                                 effect_text(effect), frames_text(effect.frames)));
    } else {
      quiet.push_back(effect_name(effect));
    }
  }
  if (!quiet.empty()) text.push_back("No difference seen: " + list_text(quiet, 40) + ".");
  std::ranges::move(not_identifiable_texts(history.meter), std::back_inserter(text));
  return text;
}

std::vector<std::string> misfit_sentences(const meter::BiasHistory& history) {
  std::vector<std::string> text;
  for (const meter::BiasEffect& roll : history.misfits) {
    text.push_back(fmt::format(
        "Roll {}: {} against the others. Film speed, development or another film in the camera "
        "than the log says.",
        roll.level, estimate_text(roll.stops)));
  }
  return text;
}

}  // namespace

void write_bias_table(std::ostream& out, const roll::CameraReview& camera,
                      const TerminalStyle& style) {
  const meter::BiasHistory& history = camera.history;
  const std::string name = history.camera.empty() ? "no name" : history.camera;
  out << wrap(printable("Camera: " + name + ". Film: " + list_text(history.films, 6) + "."),
              style.columns, 0);
  const Ink ink(style.colour);
  const auto write = [&](const char* heading, const std::vector<std::string>& sentences) {
    write_part(out, heading, sentences, style.columns, ink);
  };
  write("The meter (+ gives more than asked)", now_sentences(history));
  write("What else differs", effect_sentences(history));
  write("Rolls that do not fit", misfit_sentences(history));
  std::vector<std::string> scenes;
  for (const meter::SceneTechnique& technique : history.techniques) {
    if (technique.frames > 1) scenes.push_back(technique_text(technique) + ".");
  }
  write("Scenes, beyond a true meter", scenes);
  write("Next time", next_time_sentences(camera.next_roll, camera.advice));
}

void write_ledger_table(std::ostream& out, std::span<const meter::RememberedRoll> rolls,
                        const TerminalStyle& style) {
  const int name = std::clamp(style.columns - 62, 12, 40);
  out << fit("roll", name) << ' ' << fit("camera", 18) << ' ' << fit("date", 10) << ' '
      << fit("film", 24) << " frames\n";
  for (const meter::RememberedRoll& roll : rolls) {
    out << fit(printable(roll.name), name) << ' ' << fit(printable(roll.camera), 18) << ' '
        << fit(printable(roll.date.substr(0, 10)), 10) << ' '
        << fit(printable(roll.film + ", ISO " + as_marked(roll.film_speed)), 24)
        << fmt::format(" {:>6}\n", roll.deviations.size());
  }
}

}  // namespace basefog::report

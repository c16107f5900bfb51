// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/bias_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "basefog/report/next_roll_wording.hpp"
#include "basefog/report/roll_wording.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
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

namespace {

constexpr double kRollWidth = 46;
constexpr double kPlotTop = 50;
constexpr double kPlotBottom = 330;
constexpr double kPlotLeft = 70;
constexpr const char* kPlotStyle =
    "<style>text{font:13px sans-serif;fill:#222}.grid{stroke:#ddd}.zero{stroke:#444}"
    ".now{fill:#c9d6e8}.frame{fill:#888;fill-opacity:.45}.roll{fill:#222}.mean{stroke:#222;"
    "stroke-width:2}@media(prefers-color-scheme:dark){svg{background:#161616}text{fill:#ddd}"
    ".grid{stroke:#333}.zero{stroke:#aaa}.now{fill:#2c3e57}.roll{fill:#ddd}.mean{stroke:#ddd}}"
    "</style>";

/// A roll's mean deviation and its interval: what its frames share does not average out.
StopsEstimate mean_deviation(const meter::RememberedRoll& roll) {
  double sum = 0;
  reading::ErrorBudget shared{};
  const auto count = static_cast<double>(roll.deviations.size());
  for (const meter::DeviationSample& sample : roll.deviations) {
    sum += sample.deviation.value();
    for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
      shared[cause] += sample.shared[cause] / count;
    }
  }
  double squares = 0;
  for (const meter::DeviationSample& sample : roll.deviations) {
    squares += std::pow(sample.deviation.value() - sum / count, 2);
  }
  double variance = count > 1 ? squares / (count - 1) / count : 0;
  for (const double stops : shared) variance += stops * stops;
  return normal_estimate(Stops(sum / count), Stops(std::sqrt(variance)));
}

void draw_roll(std::string& out, const meter::RememberedRoll& roll, double x, const Axis& y) {
  for (const meter::DeviationSample& sample : roll.deviations) {
    put(out, "<circle class=\"frame\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\"/>", x,
        y.at(sample.deviation.value()));
  }
  const StopsEstimate mean = mean_deviation(roll);
  put(out, "<path class=\"mean\" d=\"M{0:.1f} {1:.1f}V{2:.1f}\"/>", x, y.at(mean.low->value()),
      y.at(mean.high->value()));
  put(out, "<circle class=\"roll\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"><title>", x,
      y.at(mean.value.value()));
  out += escape_markup(printable(roll.name + ": " + estimate_text(mean))) + "</title></circle>";
  put(out, "<text transform=\"translate({:.1f} {}) rotate(-40)\" text-anchor=\"end\">", x + 5,
      kPlotBottom + 18);
  const std::string date = roll.date.substr(0, 10);
  out += escape_markup(printable(date.empty() ? roll.name : date)) + "</text>";
}

}  // namespace

std::string bias_plot(std::span<const meter::RememberedRoll> rolls,
                      const meter::BiasHistory& history) {
  constexpr double kLeastSpan = 1;  // stops either way
  constexpr double kMostSpan = 4;
  double span = kLeastSpan;
  for (const meter::RememberedRoll& roll : rolls) {
    for (const meter::DeviationSample& sample : roll.deviations) {
      span = std::clamp(std::ceil(std::abs(sample.deviation.value())), span, kMostSpan);
    }
  }
  const Axis y{-span, span, kPlotBottom, kPlotTop};
  const double right = kPlotLeft + kRollWidth * static_cast<double>(rolls.size());
  const int width = static_cast<int>(std::max(right + 30, 580.0));
  std::string out;
  put(out,
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} 420\" width=\"{0}\" "
      "height=\"420\" role=\"img\" aria-label=\"Exposure got less asked for, by roll\">{1}",
      width, kPlotStyle);
  out += "<text x=\"20\" y=\"24\">" +
         escape_markup(printable((history.camera.empty() ? "Camera with no name" : history.camera) +
                                 ": stops that the film got beyond what was asked for")) +
         "</text>";
  if (history.meter.bias) {
    const StopsEstimate& bias = *history.meter.bias;
    put(out, "<rect class=\"now\" x=\"{:.0f}\" y=\"{:.1f}\" width=\"{:.0f}\" height=\"{:.1f}\"/>",
        kPlotLeft, y.at(bias.high->value()), right - kPlotLeft,
        y.at(bias.low->value()) - y.at(bias.high->value()));
  }
  for (int stops = -static_cast<int>(span); stops <= static_cast<int>(span); ++stops) {
    put(out, "<line class=\"{0}\" x1=\"{1}\" x2=\"{2:.0f}\" y1=\"{3:.1f}\" y2=\"{3:.1f}\"/>",
        stops == 0 ? "zero" : "grid", kPlotLeft, right, y.at(stops));
    put(out, "<text x=\"{}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>", kPlotLeft - 8,
        y.at(stops) + 4, stops == 0 ? std::string("0") : fmt::format("{:+d}", stops));
  }
  std::vector<const meter::RememberedRoll*> in_order;
  for (const meter::RememberedRoll& roll : rolls) in_order.push_back(&roll);
  std::ranges::stable_sort(in_order, {}, [](const auto* roll) { return roll->date; });
  for (std::size_t i = 0; i < in_order.size(); ++i) {
    draw_roll(out, *in_order[i], kPlotLeft + kRollWidth * (static_cast<double>(i) + 0.5), y);
  }
  return out + "</svg>\n";
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

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/film_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "basefog/core/settings.hpp"
#include "basefog/film/sensitometry.hpp"
#include "basefog/report/film_wording.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

// Film files come from anywhere: all their text is made printable.

std::string range(const Estimate<double>& estimate, int decimals) {
  return fmt::format("{:.{}f} ({:.{}f} to {:.{}f})", estimate.value, decimals, *estimate.low,
                     decimals, *estimate.high, decimals);
}

void write_layer(std::ostream& out, const film::FilmLayer& layer, const film::FilmProfile& film) {
  const film::CharacteristicCurve& curve = layer.curve;
  out << fmt::format("\n{} layer\n", printable(layer.name));
  out << fmt::format("  average gradient        {:.2f} over 1.30 log H, +/- {:.0f} % (95 %), {}\n",
                     curve.average_gradient(), 100 * kNormal975 * film.contrast_relative_sigma,
                     name_of(film.contrast_source));
  // ISO 6 fixes a development of silver film alone.
  if (film.kind == FilmKind::black_and_white) {
    out << "  development             " << development_text(curve.average_gradient()) << '\n';
  }
  if (const auto index = film::contrast_index(curve)) {
    out << fmt::format("  contrast index          {:.2f}\n", *index);
  }
  if (const auto steepest = film::gamma(curve))
    out << fmt::format("  gamma                   {:.2f}\n", *steepest);
  if (const auto shift = film::delta_x(curve))
    out << fmt::format("  delta-X                 {:.2f} log H\n", *shift);
  out << fmt::format("  can be read             {:+.1f} to {:+.1f} stops from the speed point\n",
                     curve.lowest().value(), curve.highest().value());
  out << fmt::format("  highlight limit         {}{:+.1f} stops, density {:.2f}\n",
                     curve.shoulder_seen() ? "" : "at least ", curve.highlight_limit().value(),
                     curve.density(curve.highlight_limit()).value());
  out << fmt::format("  density at the aim      {:.2f} above base + fog\n",
                     curve.density(aim_above_speed_point(film)).value());
}

}  // namespace

Stops aim_above_speed_point(const film::FilmProfile& film) {
  return Aim{.film_speed = film.iso_speed}.log_exposure() - film.speed_point();
}

void write_film(std::ostream& out, const film::FilmProfile& film) {
  out << fmt::format("{}\n{}, ISO {:.4g}{}\n", printable(film.name), text_of(film.kind).description,
                     film.iso_speed.iso(), film.speed_measured ? " (measured)" : "");
  out << fmt::format(
      "speed point at log H {:.3f} ({:.3g} lux s); the aim is {:.2f} stops above it\n",
      film.speed_point().log10(), film.speed_point().lux_seconds(),
      aim_above_speed_point(film).value());
  for (const film::FilmLayer& layer : film.layers) write_layer(out, layer, film);
  out << "\nlong times, metered to corrected (loss of an uncorrected time, stops)\n";
  for (const ShutterTime metered : kReciprocityTimes) {
    const film::ReciprocityLoss loss = film::reciprocity_loss(film.reciprocity, metered);
    out << fmt::format("  {:>3g} s  to {:>6.3g} s   ({:.1f} +/- {:.1f})\n", metered.seconds(),
                       film::corrected_time(film.reciprocity, metered).seconds(), loss.loss.value(),
                       kNormal975 * loss.sigma.value());
  }
  if (!film.notes.empty()) out << '\n' << printable(film.notes) << '\n';
}

void write_film_memory(std::ostream& out, const memory::FilmUse& use,
                       const memory::FilmMemory& memory, const film::FilmProfile& form) {
  using enum film::FilmParameter;
  struct Row {
    film::FilmParameter parameter;
    const char* name;
    double unit;  ///< of one in the parameter
    const char* unit_name;
    bool of_layers = false;
  };
  constexpr auto kRows = std::to_array<Row>({{contrast, "contrast", 100, "%"},
                                             {toe, "toe", 1, "stops a stop"},
                                             {shoulder, "shoulder", 1, "stops"},
                                             {upper_part, "softer above", 100, "%"},
                                             {red_gradient, "red gradient", 100, "%", true},
                                             {red_place, "red layer", 1, "stops", true},
                                             {blue_gradient, "blue gradient", 100, "%", true},
                                             {blue_place, "blue layer", 1, "stops", true}});
  constexpr std::size_t kColourLayers = 3;
  const auto list = [&](const char* head, const std::vector<std::string>& rolls) {
    if (rolls.empty()) return;
    constexpr std::size_t kMostNames = 8;
    out << fmt::format("{:<24}{}\n", head, printable(list_text(rolls, kMostNames)));
  };
  out << printable(use.film)
      << (use.developed.empty() ? "" : ", developed " + printable(use.developed)) << "\n\n";
  list("rolls", memory.rolls);
  list("developed otherwise", memory.others);
  list("left out, do not fit", memory.odd);
  const film::FilmBelief before = film::belief_in(form);
  out << fmt::format("\n{:<16}{:>10}{:>10}{:>12}   {}\n", "against", "a roll of", "known to",
                     "without", "");
  out << fmt::format("{:<16}{:>10}{:>10}{:>12}\n", form.name.substr(0, 15), "it has", "", "rolls");
  for (const Row& row : kRows) {
    if (row.of_layers && form.layers.size() != kColourLayers) continue;
    const int decimals = row.unit > 1 ? 0 : 2;
    const double steps = std::pow(10, decimals);
    const double mean = std::round(row.unit * memory.roll.mean[row.parameter] * steps) / steps;
    out << fmt::format(
        "{:<16}{:>+10.{}f}{:>10}{:>12}   {}\n", row.name, mean + 0.0, decimals,  // no "-0"
        fmt::format("+/- {:.{}f}", row.unit * memory.roll.sigma(row.parameter), decimals),
        fmt::format("+/- {:.{}f}", row.unit * before.sigma(row.parameter), decimals),
        row.unit_name);
  }
  out << fmt::format("\nFrom roll to roll contrast wanders by {:.0f} %.\n", 100 * memory.wander);
  constexpr double kWorthABracket = 0.04;  // of the film's own contrast (judgement)
  if (memory.film.sigma(contrast) > kWorthABracket) {
    out << "Three exposures of one view, two stops apart, on the next roll would make its contrast "
           "surer.\n";
  }
}

void write_film_test(std::ostream& out, const film::FilmTest& test) {
  out << printable(test.profile.name) << '\n';
  if (test.speed) {
    out << fmt::format("  speed                   ISO {:.0f} ({:.0f} to {:.0f})\n",
                       std::exp2(test.speed->value), std::exp2(*test.speed->low),
                       std::exp2(*test.speed->high));
  }
  if (test.speed_and_meter) {
    out << fmt::format("  film speed and meter    {:+.2f} stops ({:+.2f} to {:+.2f}) together\n",
                       test.speed_and_meter->value.value(), test.speed_and_meter->low->value(),
                       test.speed_and_meter->high->value());
  }
  for (const film::FilmTestLayer& layer : test.layers) {
    out << fmt::format(
        "  {} layer\n"
        "    average gradient      {}\n"
        "    speed point           log H {}\n",
        printable(layer.name), range(layer.average_gradient, 3), range(layer.speed_point_log_h, 2));
    // Densities of frames are net already.
    constexpr double kSomeBase = 0.005;
    if (layer.base >= kSomeBase)
      out << fmt::format("    base + fog            {:.2f}\n", layer.base);
    out << fmt::format("    steps off the curve   {:.3f} (rms)\n", layer.residual);
  }
  for (const std::string& note : film_test_texts(test)) out << "  " << note << '\n';
}

void write_developments(std::ostream& out, const film::DevelopmentSeries& series) {
  if (series.results.empty()) return;
  const double first = series.results.front().test.layers.front().speed_point_log_h.value;
  out << fmt::format("{:<16} {:>22}  {:>26}\n", "development", "average gradient",
                     "speed gained, stops");
  const bool several = std::ranges::any_of(series.results, [](const film::DevelopmentResult& one) {
    return one.exposed_times.has_value();
  });
  for (const film::DevelopmentResult& result : series.results) {
    const film::FilmTestLayer& layer = result.test.layers.front();
    const Estimate<double>& place = layer.speed_point_log_h;
    const auto stops = [&](double log_h) { return Stops::from_log10(first - log_h).value(); };
    const Estimate<double> shift{stops(place.value), stops(*place.high), stops(*place.low)};
    out << fmt::format("{:<16} {:>22}  {:>26}\n", printable(result.name),
                       range(layer.average_gradient, 2), range(shift, 2));
  }
  out << fmt::format("speed gained: over '{}'{}\n", printable(series.results.front().name),
                     several ? "; of what was exposed several times, their exposures with it" : "");
  if (series.gradient_gain) {
    out << fmt::format("for each doubling of the time the average gradient gains {}\n",
                       range(*series.gradient_gain, 2));
  }
  if (series.speed_gain) {
    out << fmt::format("and the speed {:.2f} stops ({:.2f} to {:.2f})\n",
                       series.speed_gain->value.value(), series.speed_gain->low->value(),
                       series.speed_gain->high->value());
  }
  for (const std::string& note : exposure_pair_texts(series)) out << printable(note) << '\n';
}

}  // namespace basefog::report

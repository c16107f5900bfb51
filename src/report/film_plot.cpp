// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>

#include "basefog/core/film_facts.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/film/sensitometry.hpp"
#include "basefog/report/film_report.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"

namespace basefog::report {
namespace {

constexpr int kWidth = 760;
constexpr int kHeight = 500;
constexpr double kLeft = 60;
constexpr double kRight = 700;
constexpr double kTop = 60;
constexpr double kBottom = 440;

constexpr const char* kStyle =
    "<style>text{font:13px sans-serif;fill:#222}.grid{stroke:#ddd}.axis{stroke:#444}"
    ".mark{stroke:#777;stroke-dasharray:5 4}.curve{fill:none;stroke-width:2;stroke:#222}"
    ".band{fill:#888;fill-opacity:.18}.red{stroke:#b3261e}.green{stroke:#1b7a3d;stroke-dasharray:9 "
    "3}"
    ".blue{stroke:#1f5fbf;stroke-dasharray:3 3}.step{fill:none;stroke:#222;stroke-width:1.2}"
    "@media(prefers-color-scheme:dark){svg{background:#161616}text{fill:#ddd}.grid{stroke:#333}"
    ".axis{stroke:#aaa}.curve,.step{stroke:#ddd}.red{stroke:#ff8a80}.green{stroke:#7fd99a}"
    ".blue{stroke:#8ab4ff}}</style>";

struct Plot {
  Axis x;
  Axis y;
  std::string out;
};

Plot open_plot(const film::FilmProfile& film) {
  double lowest = -3;
  double highest = 9;
  double densest = 1;
  for (const film::FilmLayer& layer : film.layers) {
    highest = std::max(highest, std::ceil(layer.curve.highlight_limit().value() + 1));
    densest = std::max(densest, layer.curve.density(Stops(highest)).value());
  }
  Plot plot{{lowest, highest, kLeft, kRight}, {0, std::ceil(densest * 2) / 2, kBottom, kTop}, {}};
  put(plot.out,
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" "
      "height=\"{1}\" role=\"img\" aria-label=\"Characteristic curve: net density against stops "
      "above the speed point\">{2}",
      kWidth, kHeight, kStyle);
  return plot;
}

void draw_axes(Plot& plot, const film::FilmProfile& film) {
  const int stops_shown = static_cast<int>(plot.x.high - plot.x.low);
  for (int i = 0; i <= stops_shown; ++i) {
    const double stops = plot.x.low + i;
    const double x = plot.x.at(stops);
    put(plot.out, "<line class=\"grid\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1}\" y2=\"{2}\"/>", x,
        kTop, kBottom);
    put(plot.out, "<text x=\"{:.1f}\" y=\"{}\" text-anchor=\"middle\">{}</text>", x, kBottom + 18,
        stops == 0 ? std::string("0") : fmt::format("{:+.0f}", stops));
  }
  const int halves = static_cast<int>(std::lround(plot.y.high * 2));
  for (int i = 0; i <= halves; ++i) {
    const double density = i * 0.5;
    const double y = plot.y.at(density);
    put(plot.out, "<line class=\"grid\" x1=\"{1}\" x2=\"{2}\" y1=\"{0:.1f}\" y2=\"{0:.1f}\"/>", y,
        kLeft, kRight);
    put(plot.out, "<text x=\"{}\" y=\"{:.1f}\" text-anchor=\"end\">{:.1f}</text>", kLeft - 8, y + 4,
        density);
  }
  put(plot.out, "<path class=\"axis\" fill=\"none\" d=\"M{0} {1}V{2}H{3}\"/>", kLeft, kTop, kBottom,
      kRight);
  put(plot.out,
      "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">exposure, stops above the speed "
      "point (log H {:.2f}, H in lux s)</text>",
      (kLeft + kRight) / 2, kBottom + 42, film.speed_point().log10());
  put(plot.out,
      "<text transform=\"translate(16 {}) rotate(-90)\" text-anchor=\"middle\">density "
      "above base + fog</text>",
      (kTop + kBottom) / 2);
  plot.out += "<text x=\"60\" y=\"24\">" + escape_markup(film.name) + "</text>";
}

void draw_mark(Plot& plot, double stops, const char* name) {
  const double x = plot.x.at(stops);
  put(plot.out, "<line class=\"mark\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1}\" y2=\"{2}\"/>", x,
      kTop, kBottom);
  put(plot.out, "<text x=\"{:.1f}\" y=\"{}\" text-anchor=\"middle\">{}</text>", x, kTop - 6, name);
}

/// What the curve may be, 95 times in 100.
void draw_band(Plot& plot, const film::FilmProfile& film, std::size_t layer) {
  std::vector<double> places;
  for (double stops = plot.x.low; stops <= plot.x.high; stops += 0.25) places.push_back(stops);
  const std::vector<double> sigmas = density_sigmas(film, layer, places);
  const auto point = [&](std::size_t i, double sign) {
    const double density = film.layers[layer].curve.density(Stops(places[i])).value();
    put(plot.out, " {:.1f} {:.1f}", plot.x.at(places[i]),
        plot.y.at(std::max(0.0, density + sign * kNormal975 * sigmas[i])));
  };
  plot.out += "<polygon class=\"band\" points=\"";
  for (std::size_t i = 0; i < places.size(); ++i) point(i, 1);
  for (std::size_t i = places.size(); i-- > 0;) point(i, -1);
  plot.out += "\"/>";
}

void draw_curve(Plot& plot, const film::FilmLayer& layer) {
  put(plot.out, "<path class=\"curve {}\" d=\"",
      layer.name == "red" || layer.name == "green" || layer.name == "blue" ? layer.name : "gray");
  constexpr int kPerStop = 8;
  const int last = static_cast<int>(plot.x.high - plot.x.low) * kPerStop;
  for (int i = 0; i <= last; ++i) {
    const double stops = plot.x.low + static_cast<double>(i) / kPerStop;
    put(plot.out, "{}{:.1f} {:.1f}", i == 0 ? "M" : "L", plot.x.at(stops),
        plot.y.at(layer.curve.density(Stops(stops)).value()));
  }
  plot.out += "\"/>";
  put(plot.out, "<text x=\"{}\" y=\"{:.1f}\">", kRight + 6,
      plot.y.at(layer.curve.density(Stops(plot.x.high)).value()) + 4);
  plot.out += escape_markup(layer.name) + "</text>";
}

/// The steps that a test measured, against the film's own speed point.
void draw_steps(Plot& plot, const film::FilmProfile& film, const film::FilmTestSeries& series,
                const film::FilmTest& test) {
  for (std::size_t layer = 0; layer < test.layers.size(); ++layer) {
    const film::CharacteristicCurve& curve = film.layers[layer].curve;
    // The layer's own speed point on the film's axis and on the series' one.
    const std::optional<Stops> own =
        curve.where(film.kind == FilmKind::colour_negative ? film_facts::kIso5800SpeedDensity
                                                           : film_facts::kIso6SpeedDensity);
    if (!own) continue;
    for (const film::FilmTestStep& step : series.steps) {
      const double stops =
          own->value() +
          Stops::from_log10(step.log_h - test.layers[layer].speed_point_log_h.value).value();
      put(plot.out, "<circle class=\"step\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.5\"/>",
          plot.x.at(stops), plot.y.at(step.density[layer] - test.layers[layer].base));
    }
  }
}

}  // namespace

std::vector<double> density_sigmas(const film::FilmProfile& film, std::size_t layer,
                                   std::span<const double> places) {
  const std::vector<film::FilmLayer> varied[] = {
      film.with_contrast(1 + film.contrast_relative_sigma).layers,
      film.with_toe(film.toe_sigma_stops).layers,
      film.with_shoulder(Stops(film.shoulder_sigma_stops)).layers};
  const auto density_at = [](const film::FilmLayer& one, double stops) {
    return one.curve.density(Stops(stops)).value();
  };
  std::vector<double> sigmas;
  for (const double stops : places) {
    const double density = density_at(film.layers[layer], stops);
    double variance =
        std::pow(density_at(film.layers[layer], stops + film.speed_sigma_stops) - density, 2);
    for (const auto& one : varied) variance += std::pow(density_at(one[layer], stops) - density, 2);
    sigmas.push_back(std::sqrt(variance));
  }
  return sigmas;
}

std::string film_plot(const film::FilmProfile& film, const film::FilmTestSeries* series,
                      const film::FilmTest* test) {
  Plot plot = open_plot(film);
  draw_axes(plot, film);
  double limit = INFINITY;
  for (const film::FilmLayer& layer : film.layers) {
    limit = std::min(limit, layer.curve.highlight_limit().value());
  }
  draw_mark(plot, 0, "speed point");
  draw_mark(plot, (Aim{.film_speed = film.iso_speed}.log_exposure() - film.speed_point()).value(),
            "aim");
  draw_mark(plot, limit, "highlight limit");
  for (std::size_t layer = 0; layer < film.layers.size(); ++layer) draw_band(plot, film, layer);
  for (const film::FilmLayer& layer : film.layers) draw_curve(plot, layer);
  if (series != nullptr && test != nullptr) draw_steps(plot, film, *series, *test);
  plot.out += "</svg>\n";
  return plot.out;
}

}  // namespace basefog::report

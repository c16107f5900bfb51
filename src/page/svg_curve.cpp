// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/report/film_report.hpp"
#include "page/svg_charts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// Net density of a layer so many stops from the aim.
double density_at(const film::FilmLayer& layer, ExposureAboveSpeedPoint aim, double stops) {
  return layer.curve.density(in_stops(aim + Stops(stops))).value();
}

void put_curves(std::string& out, const roll::Analysis& analysis, const report::Axis& x,
                const report::Axis& y, ExposureAboveSpeedPoint aim) {
  constexpr int kSteps = 120;
  std::vector<double> places;
  for (int i = 0; i <= kSteps; ++i) places.push_back(x.low + (x.high - x.low) * i / kSteps);
  const std::vector<film::FilmLayer>& layers = analysis.film.layers;
  // Half, four fifths and 95 in 100 of what the curve may be, one over the other.
  constexpr std::array kBands{1.96, 1.282, 0.674};
  for (std::size_t k = 0; k < layers.size(); ++k) {
    std::vector<double> on_film;
    for (const double stops : places) on_film.push_back(in_stops(aim + Stops(stops)).value());
    const std::vector<double> sigmas = report::density_sigmas(analysis.film, k, on_film);
    const auto at = [&](int i, double sigma) {
      const auto place = static_cast<std::size_t>(i);
      const double density = density_at(layers[k], aim, places[place]) + sigma * sigmas[place];
      return fmt::format("{:.1f} {:.1f}", x.at(places[place]), y.at(std::max(0.0, density)));
    };
    for (const double band : kBands) {
      out += "<path class=\"fan\" d=\"M";
      for (int i = 0; i <= kSteps; i += 4) out += (i == 0 ? "" : "L") + at(i, band);
      for (int i = kSteps; i >= 0; i -= 4) out += "L" + at(i, -band);
      out += "z\"/>";
    }
    out += "<path class=\"curve\" d=\"M";
    for (int i = 0; i <= kSteps; ++i) out += (i == 0 ? "" : "L") + at(i, 0);
    out += "\"/>";
    if (layers.size() > 1) {
      report::put(out, "<text class=\"end\" x=\"{:g}\" y=\"{:.1f}\">{}</text>", x.end,
                  y.at(density_at(layers[k], aim, x.high)) - 5,
                  report::escape_markup(layers[k].name));
    }
  }
}

bool has_exposure(const roll::FrameResult& frame) {
  return frame.reading && report::is_known(frame.reading->exposure.estimate);
}

/// A frame's exposure, which is known, and its tones from shadow to highlight where both are. aim:
/// where it lies on the film.
void put_range(std::string& out, const roll::FrameResult& frame, const std::string& name,
               std::size_t number, const report::Axis& x, double y, ExposureAboveSpeedPoint aim) {
  const reading::FrameReading& reading = *frame.reading;
  const double exposure = reading.exposure.estimate.value.value();
  const auto& shadow = reading.shadow_reserve.estimate;
  const auto& highlight = reading.highlight_reach.estimate;
  report::open_frame_link(out, number, report::escape_markup(name),
                          report::typeset(report::estimate_text(reading.exposure.estimate)),
                          verdict_class(frame));
  if (report::is_known(shadow) && report::is_known(highlight)) {
    report::put(
        out, "<line class=\"span\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:g}\" y2=\"{2:g}\"/>",
        x.at(from_aim(shadow.value, aim).value()), x.at(from_aim(highlight.value, aim).value()), y);
  }
  const StopsEstimate got = in_stops(reading.exposure.estimate);
  report::put(
      out, "<line class=\"interval\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:g}\" y2=\"{2:g}\"/>",
      x.at(got.low ? got.low->value() : x.low), x.at(got.high ? got.high->value() : x.high), y);
  report::put(out, "<circle class=\"dot\" cx=\"{:.1f}\" cy=\"{:g}\" r=\"3.5\"/></a>",
              x.at(exposure), y);
}

/// Each frame where its exposure lies on the curve, of colour film on the green layer's.
void put_frames_on_curve(std::string& out, const roll::Analysis& analysis,
                         const std::vector<std::string>& names, const report::Axis& x,
                         const report::Axis& y, ExposureAboveSpeedPoint aim) {
  const film::FilmLayer& layer = analysis.film.layers[analysis.film.layers.size() / 2];
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    if (!has_exposure(analysis.frames[i])) continue;
    const Estimate<ExposureFromAim>& exposure = analysis.frames[i].reading->exposure.estimate;
    report::open_frame_link(out, i + 1, report::escape_markup(names[i]),
                            report::typeset(report::estimate_text(exposure)),
                            verdict_class(analysis.frames[i]));
    const double stops = exposure.value.value();
    report::put(out, "<circle class=\"dot\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\"/></a>", x.at(stops),
                y.at(density_at(layer, aim, stops)));
  }
}

}  // namespace

std::string curve_chart(const roll::Analysis& analysis) {
  if (analysis.film.layers.empty()) return "";
  const ExposureAboveSpeedPoint aim =
      above_speed_point(analysis.aim.log_exposure(), analysis.film.speed_point());
  const auto rows = std::ranges::count_if(analysis.frames, has_exposure);
  constexpr double kCurveBottom = 220;
  constexpr double kRow = 14;
  const double last = kCurveBottom + 34 + kRow * static_cast<double>(rows);
  const report::Axis x{-6, 7, 62, 750};
  double top_density = 0.5;
  for (const film::FilmLayer& layer : analysis.film.layers) {
    top_density = std::max(top_density, layer.curve.density(in_stops(aim + Stops(x.high))).value());
  }
  const report::Axis y{0, std::ceil(top_density * 2) / 2, kCurveBottom, 26};
  std::string out;
  report::open_chart(
      out, 760, static_cast<int>(last) + 10,
      "The film's curve, net density against exposure in stops from the aim, with each frame on "
      "it, and below where the tones of each frame lie.",
      report::ChartKind::with_links);
  for (int half = 0; half / 2.0 <= y.high + 0.01; ++half) {
    const double density = half / 2.0;
    report::put(out,
                "<line class=\"{}\" x1=\"{:g}\" x2=\"{:g}\" y1=\"{:.1f}\" y2=\"{:.1f}\"/>"
                "<text class=\"end\" x=\"{:g}\" y=\"{:.1f}\">{:.1f}</text>",
                density == 0 ? "zero" : "grid", x.start, x.end, y.at(density), y.at(density),
                x.start - 8, y.at(density) + 4, density);
  }
  // A picture is lost as soon as one layer is: the least limit is the film's, as in the readings.
  double limit = INFINITY;
  for (const film::FilmLayer& layer : analysis.film.layers) {
    limit = std::min(limit, (layer.curve.highlight_limit() - in_stops(aim)).value());
  }
  put_mark(out, x, -aim.value(), 22, last, "speed point");
  put_mark(out, x, 0, 22, last, "aim");
  if (limit < x.high) put_mark(out, x, limit, 22, last, "highlight limit");
  put_curves(out, analysis, x, y, aim);
  for (int stop = -6; stop <= 7; ++stop) {
    report::put(out, "<text class=\"middle\" x=\"{:.1f}\" y=\"{:g}\">{}</text>", x.at(stop),
                kCurveBottom + 18, stop == 0 ? "0" : report::typeset(fmt::format("{:+d}", stop)));
  }
  const std::vector<std::string> names = report::frame_names(analysis);
  put_frames_on_curve(out, analysis, names, x, y, aim);
  const std::vector<std::string> shown = report::short_names(names, 6);
  double row = kCurveBottom + 38;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    if (!has_exposure(analysis.frames[i])) continue;
    put_range(out, analysis.frames[i], names[i], i + 1, x, row, aim);
    report::put(out, "<text class=\"end\" x=\"{:g}\" y=\"{:g}\">{}</text>", x.start - 8, row + 4,
                report::escape_markup(shown[i]));
    row += kRow;
  }
  return out + "</svg>";
}

}  // namespace basefog::page

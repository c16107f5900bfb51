// SPDX-License-Identifier: GPL-3.0-or-later
#include "page/svg_charts.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

constexpr double kRulerStops = 3;

/// Ends of an interval within the axis, the value itself included.
struct Span {
  double low;
  double high;
};
Span span_of(const StopsEstimate& estimate, const report::Axis& axis) {
  const double low = estimate.low ? estimate.low->value() : axis.low;
  const double high = estimate.high ? estimate.high->value() : axis.high;
  return {std::max(low, axis.low), std::min(high, axis.high)};
}

/// Whole stops between the ends, as an axis with numbers.
void put_stop_lines(std::string& out, const report::Axis& y, double left, double right) {
  for (int stop = static_cast<int>(std::ceil(y.low)); stop <= y.high; ++stop) {
    report::put(out,
                "<line class=\"{}\" x1=\"{:g}\" x2=\"{:g}\" y1=\"{:.1f}\" y2=\"{:.1f}\"/>"
                "<text class=\"end\" x=\"{:g}\" y=\"{:.1f}\">{}</text>",
                stop == 0 ? "zero" : "grid", left, right, y.at(stop), y.at(stop), left - 8,
                y.at(stop) + 4, stop == 0 ? "0" : report::typeset(fmt::format("{:+d}", stop)));
  }
}

/// The smallest whole-stop range that holds all values, what was asked for, and intervals up to two
/// stops to a side; at least from -2 to +2.
report::Axis stops_axis(const roll::Analysis& analysis, double bottom, double top) {
  double low = -2;
  double high = 2;
  const auto hold = [&](double value) {
    low = std::min(low, std::floor(value - 0.2));
    high = std::max(high, std::ceil(value + 0.2));
  };
  for (const roll::FrameResult& frame : analysis.frames) {
    if (frame.expected) hold(frame.expected->value());
    if (!frame.reading || !report::is_known(frame.reading->exposure.estimate)) continue;
    const Estimate<ExposureFromAim>& exposure = frame.reading->exposure.estimate;
    const double value = exposure.value.value();
    hold(value);
    if (exposure.low) hold(std::max(exposure.low->value(), value - 2));
    if (exposure.high) hold(std::min(exposure.high->value(), value + 2));
  }
  return {std::max(low, -8.0), std::min(high, 8.0), bottom, top};
}

void put_roll_point(std::string& out, const roll::FrameResult& frame, const std::string& name,
                    std::size_t number, double x, const report::Axis& y) {
  const StopsEstimate exposure = in_stops(frame.reading->exposure.estimate);
  const Span span = span_of(exposure, y);
  report::open_frame_link(out, number, report::escape_markup(name),
                          report::typeset(report::estimate_text(exposure)), verdict_class(frame));
  report::put(
      out, "<line class=\"interval\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\"/>",
      x, y.at(span.low), y.at(span.high));
  report::put(out, "<circle class=\"dot\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/></a>", x,
              y.at(exposure.value.value()));
}

/// "+0.8" where the picture needed more or less, with a sign for a bound; empty where it was well
/// exposed or nothing is known.
std::string needed_text(const roll::FrameResult& frame) {
  const report::Outcome outcome = report::outcome_of(frame);
  if (outcome != report::Outcome::under && outcome != report::Outcome::over) return "";
  const StopsEstimate& correction = frame.reading->correction.estimate;
  if (correction.two_sided()) return report::typeset(report::signed_stops(correction.value));
  return correction.low ? "\u2265" + report::typeset(report::signed_stops(*correction.low))
                        : "\u2264" + report::typeset(report::signed_stops(*correction.high));
}

/// "III"; zones are counted from 0.
const char* zone_name(int zone) {
  static constexpr std::array<const char*, 11> kNames{"0",  "I",   "II",   "III", "IV", "V",
                                                      "VI", "VII", "VIII", "IX",  "X"};
  return kNames.at(static_cast<std::size_t>(zone));
}

/// What the film got: a dot on the ruler's line, its range a band that fades beyond one sigma.
void put_got(std::string& out, const StopsEstimate& got, const report::Axis& x) {
  const Span span = span_of(got, x);
  const Span half{(got.value.value() + span.low) / 2, (got.value.value() + span.high) / 2};
  for (const Span& band : {span, half}) {
    report::put(out, "<line class=\"interval\" x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"12\" y2=\"12\"/>",
                x.at(std::clamp(band.low, x.low, x.high)),
                x.at(std::clamp(band.high, x.low, x.high)));
  }
  const double value = got.value.value();
  if (std::abs(value) > x.high) {
    // Beyond the ruler: an arrow head at its end.
    const double tip = value > 0 ? x.end + 6 : x.start - 6;
    const double foot = value > 0 ? x.end - 3 : x.start + 3;
    report::put(out, "<path class=\"dot\" d=\"M{:.1f} 12L{:.1f} 7v10z\"/>", tip, foot);
  } else {
    report::put(out, "<circle class=\"dot\" cx=\"{:.1f}\" cy=\"12\" r=\"4.5\"/>", x.at(value));
  }
}

/// What the picture needed it to get: a triangle under the line, on the same zero, in the verdict's
/// colour; its own band below.
void put_needed(std::string& out, Stops got, const StopsEstimate& correction,
                const report::Axis& x) {
  const auto place = [&](Stops change) {
    return x.at(std::clamp((got + change).value(), x.low, x.high));
  };
  if (correction.two_sided()) {
    report::put(out,
                "<line class=\"needed-range\" x1=\"{:.1f}\" x2=\"{:.1f}\" y1=\"24\" y2=\"24\"/>",
                place(*correction.low), place(*correction.high));
  }
  report::put(out, "<path class=\"needed\" d=\"M{:.1f} 18l-4.5 8h9z\"/>", place(correction.value));
}

}  // namespace

void put_mark(std::string& out, const report::Axis& x, double stops, double top, double bottom,
              const char* name) {
  const double place = x.at(stops);
  const char* anchor = place > x.end - 60 ? "end" : "middle";
  report::put(out,
              "<line class=\"mark\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:g}\" y2=\"{2:g}\"/>"
              "<text class=\"{3}\" x=\"{0:.1f}\" y=\"{4:g}\">{5}</text>",
              place, top, bottom, anchor, top - 5, name);
}

std::string verdict_class(const roll::FrameResult& frame) {
  const report::Outcome outcome = report::outcome_of(frame);
  return outcome == report::Outcome::under  ? "under"
         : outcome == report::Outcome::over ? "over"
                                            : "well";
}

std::string ruler_svg(const roll::FrameResult& frame) {
  if (!frame.reading || !report::is_known(frame.reading->exposure.estimate)) return "";
  const StopsEstimate got = in_stops(frame.reading->exposure.estimate);
  const StopsEstimate& correction = frame.reading->correction.estimate;
  const report::Axis x{-kRulerStops, kRulerStops, 8, 172};
  const std::string label = "From the aim, in stops: the film got " + report::estimate_text(got) +
                            "; against that the picture needed " +
                            report::estimate_text(correction);
  std::string out;
  report::open_chart(out, 180, 28, report::escape_markup(report::typeset(label)),
                     report::ChartKind::picture, ("ruler " + verdict_class(frame)).c_str());
  report::put(out, "<line class=\"axis\" x1=\"{:g}\" x2=\"{:g}\" y1=\"12\" y2=\"12\"/>", x.start,
              x.end);
  for (int stop = -3; stop <= 3; ++stop) {
    report::put(out, "<line class=\"tick\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1}\" y2=\"{2}\"/>",
                x.at(stop), stop == 0 ? 4 : 9, stop == 0 ? 20 : 15);
  }
  put_got(out, got, x);
  if (report::is_known(correction)) put_needed(out, got.value, correction, x);
  return out + "</svg>";
}

std::string roll_chart(const roll::Analysis& analysis) {
  const int frames = static_cast<int>(analysis.frames.size());
  const int width = std::max(900, 60 + 40 * frames);
  const report::Axis x{0, static_cast<double>(std::max(frames, 1)), 46, width - 10.0};
  const report::Axis y = stops_axis(analysis, 226, 24);
  std::string out;
  report::open_chart(
      out, width, 284,
      "Exposure of each frame from the aim, in stops, in film order, and what the picture "
      "needed. The table of all numbers below has the same values.",
      report::ChartKind::with_links, "chart fill");
  put_stop_lines(out, y, x.start, x.end);
  report::put(out, "<text x=\"{:g}\" y=\"14\">stops from the aim, + is more exposure</text>",
              x.start);
  const std::vector<std::string> names = report::frame_names(analysis);
  const std::vector<std::string> shown = report::short_names(names, 5);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    const double place = x.at(static_cast<double>(i) + 0.5);
    if (frame.expected) {
      report::put(
          out,
          "<line class=\"asked\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\"/>",
          place - 9, place + 9, y.at(frame.expected->value()));
    }
    if (frame.reading && report::is_known(frame.reading->exposure.estimate)) {
      put_roll_point(out, frame, names[i], i + 1, place, y);
    } else {
      report::put(out, "<text class=\"middle\" x=\"{:.1f}\" y=\"{:.1f}\">\u00D7</text>", place,
                  y.at(0) + 4);
    }
    report::put(
        out,
        "<text class=\"middle\" x=\"{0:.1f}\" y=\"246\">{1}</text>"
        "<g class=\"{2}\"><text class=\"middle strong\" x=\"{0:.1f}\" y=\"270\">{3}</text></g>",
        place, report::escape_markup(shown[i]), verdict_class(frame), needed_text(frame));
  }
  return out + "</svg>";
}

std::string histogram_chart(const reading::FrameReading& reading) {
  const reading::StopsHistogram& histogram = reading.histogram;
  if (histogram.share.empty() || histogram.width.value() <= 0) return "";
  // Zone V is what the meter makes of a mid-tone, the aim; each zone is a stop [Adams].
  const report::Axis x{-5.5, 5.5, 8, 452};
  constexpr double kTop = 26;
  constexpr double kBottom = 140;
  const double most = *std::max_element(histogram.share.begin(), histogram.share.end());
  std::string out;
  report::open_chart(
      out, 460, 186,
      fmt::format("Histogram of exposure over the zones. {:.0f} % of the frame is below the "
                  "speed point, {:.0f} % above the highlight limit.",
                  100 * reading.lost_in_shadows, 100 * reading.lost_in_highlights),
      report::ChartKind::picture, "chart histogram");
  const double speed_point = histogram.speed_point.value();
  const double limit = histogram.highlight_limit.value();
  const auto shade = [&](double from, double to) {
    if (x.at(to) - x.at(from) < 0.5) return;
    report::put(out,
                "<rect class=\"lost\" x=\"{:.1f}\" y=\"{:g}\" width=\"{:.1f}\" height=\"{:g}\"/>",
                x.at(from), kTop, x.at(to) - x.at(from), kBottom - kTop);
  };
  shade(x.low, speed_point);
  shade(limit, x.high);
  report::put(out, "<path class=\"shares\" d=\"M{:.1f} {:g}", x.start, kBottom);
  for (std::size_t i = 0; i < histogram.share.size(); ++i) {
    const double left = histogram.first.value() + histogram.width.value() * static_cast<double>(i);
    const double right = left + histogram.width.value();
    if (right <= x.low || left >= x.high) continue;
    const double height = most > 0 ? histogram.share[i] / most * (kBottom - kTop - 8) : 0;
    report::put(out, "H{:.1f}V{:.1f}H{:.1f}", x.at(left), kBottom - height, x.at(right));
  }
  report::put(out, "V{:g}z\"/>", kBottom);
  put_mark(out, x, speed_point, kTop, kBottom, "speed point");
  put_mark(out, x, 0, kTop, kBottom, "aim");
  if (limit < x.high) put_mark(out, x, limit, kTop, kBottom, "highlight limit");
  report::put(out, "<line class=\"axis\" x1=\"{0:g}\" x2=\"{1:g}\" y1=\"{2:g}\" y2=\"{2:g}\"/>",
              x.start, x.end, kBottom);
  for (int zone = 0; zone <= 10; ++zone) {
    report::put(out,
                "<line class=\"tick\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"140\" y2=\"145\"/>"
                "<text class=\"middle\" x=\"{1:.1f}\" y=\"160\">{2}</text>",
                x.at(zone - 5.5), x.at(zone - 5), zone_name(zone));
  }
  report::put(out, "<text x=\"8\" y=\"180\">zones, a stop each; the aim is the middle of V</text>");
  return out + "</svg>";
}

}  // namespace basefog::page

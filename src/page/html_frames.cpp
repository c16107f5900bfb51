// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/log/scene_light.hpp"
#include "basefog/report/log_wording.hpp"
#include "basefog/report/replacement_wording.hpp"
#include "page/html_parts.hpp"
#include "page/svg_charts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// Where a frame belongs in the filter.
const char* group_of(const roll::FrameResult& frame) {
  switch (report::outcome_of(frame)) {
    case report::Outcome::well_exposed:
      return "well";
    case report::Outcome::under:
      return "under";
    case report::Outcome::over:
      return "over";
    case report::Outcome::unsure:
      return "unsure";
    case report::Outcome::blank:
    case report::Outcome::not_measured:
      break;
  }
  return "none";
}

std::string number(double value) { return fmt::format("{:.3f}", value + 0.0); }

/// Data attributes by which strip and table are filtered and sorted. What is not known has none, so
/// that it comes last.
std::string sort_data(const roll::FrameResult& frame, std::size_t place) {
  std::string out = fmt::format(" data-group=\"{}\" data-place=\"{}\"", group_of(frame), place);
  const auto add = [&out](const char* name, std::optional<double> value) {
    if (value && std::isfinite(*value)) report::put(out, " data-{}=\"{}\"", name, number(*value));
  };
  const auto add_estimate = [&add](const char* name, const auto& estimate) {
    if (report::is_known(estimate)) add(name, estimate.value.value());
  };
  if (frame.reading) {
    const reading::FrameReading& reading = *frame.reading;
    add_estimate("correction", reading.correction.estimate);
    add_estimate("exposure", reading.exposure.estimate);
    add_estimate("shadow", reading.shadow_reserve.estimate);
    add_estimate("room", reading.highlight_room.estimate);
    const Estimate<ExposureFromAim>& e = reading.exposure.estimate;
    // A bound is less sure than any interval.
    constexpr double kOfBound = 20;
    if (report::is_known(e)) add("width", e.two_sided() ? (*e.high - *e.low).value() : kOfBound);
  }
  if (frame.expected) add("expected", frame.expected->value());
  if (frame.deviation) add_estimate("deviation", *frame.deviation);
  return out;
}

std::string image(const EncodedImage& picture, const std::string& alt) {
  return fmt::format("<img src=\"{}\" width=\"{}\" height=\"{}\" alt=\"{}\" decoding=\"async\">",
                     picture.source, picture.width, picture.height, report::escape_markup(alt));
}

void put_strip_frame(std::string& out, const roll::Analysis& analysis, std::size_t i,
                     const std::string& name, const FrameImages& images) {
  const roll::FrameResult& frame = analysis.frames[i];
  const std::string words = report::picture_text(frame);
  report::put(out, "<li class=\"{}\" data-frame=\"frame-{}\"{}><a href=\"#frame-{}\">",
              verdict_class(frame), i + 1, sort_data(frame, i), i + 1);
  // Where no straight print can be made, none is shown: another kind would be compared with the
  // rest.
  if (images.straight) {
    out += image(*images.straight, "Frame " + name + ", straight print: " + words);
  } else {
    report::put(out, "<span class=\"nothing\">{}</span>", "no straight print");
  }
  const report::PictureWords parts = report::picture_words(frame);
  report::put(
      out,
      "</a><div class=\"cap\"><span class=\"number\">{}</span><span class=\"picture\">{}</span>",
      report::escape_markup(name), report::escape_markup(parts.needed));
  if (!parts.range.empty()) {
    report::put(out, "<span class=\"range\">{}</span>", report::typeset(parts.range));
  }
  if (!parts.sureness.empty()) {
    report::put(out, "<span class=\"how-sure\">{}</span>", parts.sureness);
  }
  if (frame.reading && report::is_known(frame.reading->exposure.estimate)) {
    const StopsEstimate exposure = in_stops(frame.reading->exposure.estimate);
    report::put(
        out, "<span class=\"got\">got {}{}</span>",
        report::typeset(exposure.two_sided() ? report::signed_stops(exposure.value)
                                             : report::interval_text(exposure)),
        frame.expected ? ", asked " + report::typeset(report::signed_stops(*frame.expected)) : "");
  }
  report::put(out, "</div>{}</li>\n", ruler_svg(frame));
}

struct Column {
  const char* title;
  const char* key;  ///< data attribute
};

constexpr std::array kColumns{
    Column{"Frame", "place"},           Column{"The picture needed", "correction"},
    Column{"The film got", "exposure"}, Column{"Asked", "expected"},
    Column{"Deviation", "deviation"},   Column{"Shadow reserve", "shadow"},
    Column{"Highlight room", "room"}};

void put_table(std::string& out, const roll::Analysis& analysis,
               const std::vector<std::string>& names) {
  report::open_scroll_box(out, "All numbers");
  out +=
      "<table id=\"numbers\"><caption>All numbers, in stops, with their 95 % intervals. "
      "What the film got and what was asked are from the aim.</caption><thead><tr>";
  for (const Column& column : kColumns) {
    report::put(out, "<th scope=\"col\"><button type=\"button\" data-sort=\"{}\">{}</button></th>",
                column.key, column.title);
  }
  out += "</tr></thead><tbody>\n";
  const std::vector<std::string> shown = report::short_names(names, 24);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    report::put(out,
                "<tr class=\"{}\"{}><th scope=\"row\"><a href=\"#frame-{}\">{}</a></th>"
                "<td class=\"picture\">{}</td>",
                verdict_class(frame), sort_data(frame, i), i + 1, report::escape_markup(shown[i]),
                report::escape_markup(report::picture_text(frame)));
    const reading::FrameReading* reading = frame.reading ? &*frame.reading : nullptr;
    const auto cell = [&out](const std::string& text) {
      report::put(out, "<td>{}</td>", report::typeset(text));
    };
    cell(reading != nullptr ? report::estimate_text(reading->exposure.estimate) : "");
    cell(frame.expected ? report::signed_stops(*frame.expected) : "");
    cell(frame.deviation ? report::estimate_text(*frame.deviation) : "");
    cell(reading != nullptr ? report::estimate_text(reading->shadow_reserve.estimate) : "");
    cell(reading != nullptr ? report::estimate_text(reading->highlight_room.estimate) : "");
    out += "</tr>\n";
  }
  out += "</tbody></table></div>\n";
}

void put_region(std::string& out, const area::FrameRegion& region, const char* classes) {
  // SVG turns clockwise for positive angles, regions counter-clockwise.
  report::put(out,
              "<rect class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" "
              "transform=\"rotate({:.2f} {:.1f} {:.1f})\"/>",
              classes, region.centre_x - region.width / 2, region.centre_y - region.height / 2,
              region.width, region.height, -region.angle_degrees, region.centre_x, region.centre_y);
}

/// The scan as it is, with the region that was read drawn over it, and the scan's others faintly.
void put_scan(std::string& out, const roll::Analysis& analysis, const density::FrameMeasurement& m,
              const std::string& name, const EncodedImage& scan) {
  out += "<figure><div class=\"negative\">";
  out += image(scan, "Frame " + name + ", the scan as it came");
  if (m.scan_width > 0 && m.scan_height > 0 && m.region.width > 0) {
    report::put(out,
                "<svg viewBox=\"0 0 {} {}\" preserveAspectRatio=\"none\" aria-hidden=\"true\">",
                m.scan_width, m.scan_height);
    for (const roll::FrameResult& other : analysis.frames) {
      const density::FrameMeasurement& o = other.measurement;
      if (o.file == m.file && o.index != m.index) put_region(out, o.region, "region other");
    }
    for (const char* classes : {"region back", "region"}) put_region(out, m.region, classes);
    out += "</svg>";
  }
  report::put(out,
              "</div><figcaption>The scan, with the part that was read.</figcaption></figure>");
}

void put_prints(std::string& out, const roll::Analysis& analysis, const roll::FrameResult& frame,
                const std::string& name, const FrameImages& images) {
  out += "<div class=\"prints\">";
  if (images.corrected) {
    report::put(out,
                "<figure><button type=\"button\" class=\"enlarge\" aria-pressed=\"false\">{}"
                "</button><figcaption>Corrected: a proof of how it could be printed.</figcaption>"
                "</figure>",
                image(*images.corrected, "Frame " + name + ", corrected print, large"));
  }
  // The straight print stands in the strip; the page's script shows it here too.
  if (images.scan) put_scan(out, analysis, frame.measurement, name, *images.scan);
  out += "</div>";
}

void put_answers(std::string& out, const roll::FrameResult& frame) {
  const reading::FrameReading& reading = *frame.reading;
  out += "<dl>";
  const auto row = [&out](const char* term, const std::string& value, const std::string& range) {
    report::put(out, "<dt>{}</dt><dd class=\"value\">{}</dd><dd class=\"range\">{}</dd>", term,
                report::typeset(value), report::typeset(range));
  };
  const auto answer = [&row](const char* term, const StopsEstimate& estimate, const char* meaning) {
    if (!report::is_known(estimate)) return;
    if (estimate.two_sided()) {
      row(term, report::signed_stops(estimate.value),
          report::interval_text(estimate) + ", " + meaning);
    } else {
      row(term, report::interval_text(estimate), meaning);
    }
  };
  answer("The film got", in_stops(reading.exposure.estimate), "stops from the aim");
  if (frame.expected) {
    row("Settings asked", report::signed_stops(*frame.expected), "stops from the aim");
  }
  if (frame.deviation) answer("Deviation", *frame.deviation, "what it got, less what was asked");
  answer("Shadow reserve", in_stops(reading.shadow_reserve.estimate),
         "shadows above the speed point");
  answer("Highlight room", reading.highlight_room.estimate, "highlights to the film's limit");
  answer("The picture needed", reading.correction.estimate, "stops more");
  for (const reading::LayerReading& layer : reading.layers) {
    const std::string name = report::sentence_case(layer.name) + " layer";
    const std::string reserve = "shadow reserve " + report::estimate_text(layer.shadow_reserve);
    answer(name.c_str(), in_stops(layer.exposure), reserve.c_str());
  }
  if (frame.scene_ev && frame.scene_ev->two_sided()) {
    const StopsEstimate& ev = *frame.scene_ev;
    row("Scene", fmt::format("EV {:.1f}", ev.value.value()),
        fmt::format("{:.1f} to {:.1f}, its light at ISO 100", ev.low->value(), ev.high->value()));
  }
  out += "</dl>";
  const std::string light = report::light_colour_text(reading);
  if (!light.empty())
    report::put(out, "<p class=\"note\">{}</p>", report::typeset(report::escape_markup(light)));
}

void put_log_words(std::string& out, const roll::Analysis& analysis,
                   const roll::FrameResult& frame) {
  const log::LogRow* row = report::row_of(analysis, frame);
  if (row == nullptr) return;
  report::put(out, "<p>Logged as {}: {}",
              report::escape_markup(row->frame.empty() ? "a row" : row->frame),
              report::escape_markup(report::typeset(report::settings_text(*row))));
  if (!row->scene.empty()) report::put(out, ", \u201C{}\u201D", report::escape_markup(row->scene));
  out += ".";
  if (!row->note.empty())
    report::put(out, " Note: \u201C{}\u201D", report::escape_markup(row->note));
  out += "</p>";
}

/// Settings that would have done what the picture needed.
void put_replacements(std::string& out, const roll::FrameResult& frame) {
  const std::vector<std::string> texts = report::replacement_texts(frame.replacements);
  if (texts.empty()) return;
  std::vector<std::string> items;
  for (const std::string& text : texts)
    items.push_back(report::escape_markup(report::typeset(text)));
  if (frame.replacements.options.empty()) {
    report::put(out, "<p>{}</p>", items[0]);
    return;
  }
  out += "<h4>Would have done</h4>";
  put_list(out, "instead", items);
}

void put_frame(std::string& out, const roll::Analysis& analysis, std::size_t i,
               const std::string& name, const FrameImages& images) {
  const roll::FrameResult& frame = analysis.frames[i];
  report::put(
      out, "<section class=\"frame {0}\" id=\"frame-{1}\" data-title=\"Frame {2}\"><h3>Frame {2}",
      verdict_class(frame), i + 1, report::escape_markup(name));
  const std::filesystem::path file = frame.measurement.file.filename();
  if (file.stem() != name)
    report::put(out, " <small>{}</small>", report::escape_markup(file.string()));
  out += "</h3>";
  put_prints(out, analysis, frame, name, images);
  report::put(out, "<div class=\"facts\"><p class=\"verdict {}\">{}</p>", verdict_class(frame),
              report::escape_markup(report::sentence_case(report::picture_text(frame))));
  if (frame.reading) {
    const std::string why = report::disagreement_text(*frame.reading);
    if (!why.empty()) report::put(out, "<p>{}</p>", report::escape_markup(why));
    put_answers(out, frame);
    out += histogram_chart(*frame.reading);
  }
  put_log_words(out, analysis, frame);
  put_replacements(out, frame);
  if (!frame.flags.empty()) {
    std::vector<std::string> sentences;
    for (Flag flag : frame.flags.list()) {
      std::string what(text_of(flag).long_text);
      const log::LogRow* row = report::row_of(analysis, frame);
      if (flag == Flag::log_contradicts_scene && row != nullptr && frame.scene_ev) {
        const auto contradiction = log::scene_contradiction(*row, *frame.scene_ev);
        if (contradiction) what = report::contradiction_text(*contradiction);
      }
      sentences.push_back(report::escape_markup(what) + " " +
                          report::escape_markup(text_of(flag).next_step));
    }
    put_list(out, "flags", sentences);
  }
  out += "</div></section>\n";
}

}  // namespace

void put_strip(std::string& out, const roll::Analysis& analysis,
               const std::vector<FrameImages>& images) {
  if (analysis.frames.empty()) return;
  out +=
      "<section aria-labelledby=\"roll\"><h2 id=\"roll\">The roll</h2>\n"
      "<div class=\"controls\"><div role=\"group\" aria-labelledby=\"show\"><span "
      "id=\"show\">Show</span>";
  struct Choice {
    const char* group;
    const char* title;
  };
  for (const Choice& choice :
       {Choice{"all", "All"}, Choice{"under", "Under"}, Choice{"well", "Well exposed"},
        Choice{"over", "Over"}, Choice{"unsure", "Unsure"}, Choice{"none", "Not read"}}) {
    const std::string_view group = choice.group;
    const auto count =
        group == "all"
            ? static_cast<std::ptrdiff_t>(analysis.frames.size())
            : std::count_if(analysis.frames.begin(), analysis.frames.end(),
                            [group](const auto& frame) { return group == group_of(frame); });
    if (count == 0) continue;
    report::put(out,
                "<button type=\"button\" data-filter=\"{}\" aria-pressed=\"{}\">{} {}</button>",
                group, group == "all", choice.title, count);
  }
  out +=
      "</div><label>Order <select id=\"order\"><option value=\"place\">on the film</option>"
      "<option value=\"under\">most under first</option>"
      "<option value=\"over\">most over first</option>"
      "<option value=\"unsure\">least sure first</option></select></label>"
      "<span id=\"shown\" role=\"status\"></span></div>\n<ol class=\"strip\" id=\"strip\">\n";
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    put_strip_frame(out, analysis, i, names[i], images[i]);
  }
  out +=
      "</ol>\n<p class=\"note\">Straight prints, all made with the same exposure, so that thin "
      "and dense negatives show. First what the picture needed: the best value, its range, and how "
      "sure the verdict is (sure from 90 %, likely from 66 %). Then what the film got, and what "
      "the settings asked for. All stand on one ruler from \u22123 to +3 stops around the meter's "
      "aim: the dot is what the film got, the triangle what the picture needed it to get; bands "
      "are the ranges that hold the truth 95 times in 100. A picture can need more although the "
      "camera did what it should: bright skies or lamps mislead a meter.</p></section>\n";
}

void put_frames(std::string& out, const roll::Analysis& analysis,
                const std::vector<FrameImages>& images) {
  if (analysis.frames.empty()) return;
  const std::vector<std::string> names = report::frame_names(analysis);
  out += "<section aria-labelledby=\"frames\"><h2 id=\"frames\">Frame by frame</h2>\n";
  put_table(out, analysis, names);
  out += "<div class=\"frames-all\">\n";
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    put_frame(out, analysis, i, names[i], images[i]);
  }
  out += "</div></section>\n";
}

}  // namespace basefog::page

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/page/html_page.hpp"

#include <array>
#include <string>
#include <vector>

#include "basefog/core/version.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_wording.hpp"
#include "core/base64.hpp"
#include "page/far_frames.hpp"
#include "page/html_parts.hpp"
#include "page/page_files.hpp"
#include "page/svg_charts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

void put_roll_exposure(std::string& out, const roll::Analysis& analysis) {
  if (analysis.frames.empty()) return;
  out += "<section aria-labelledby=\"along\"><h2 id=\"along\">Exposure along the roll</h2>\n";
  report::open_scroll_box(out, "Chart of the exposure along the roll");
  out += roll_chart(analysis);
  out +=
      "</div><p class=\"note\">Dot: the exposure that the film got, from the meter's aim. Line: "
      "the range that holds the truth 95 times in 100.";
  if (analysis.log) out += " Dash: what the settings asked for.";
  out +=
      " A cross: no number can be given. The lowest row: what the "
      "picture needed, where it was not well exposed.</p>";
  const std::string trend = report::trend_text(analysis);
  if (!trend.empty()) report::put(out, "<p>{}</p>", report::escape_markup(report::typeset(trend)));
  out += "</section>\n";
}

void put_figure(std::string& out, const std::string& chart, const char* title) {
  if (chart.empty()) return;
  report::put(out, "<figure><h3>{}</h3>", title);
  report::open_scroll_box(out, std::string("Chart: ") + title);
  report::put(out, "{}</div></figure>\n", chart);
}

void put_meter(std::string& out, const roll::Analysis& analysis) {
  if (!analysis.log) return;
  const auto shutter = groups_by_shutter(analysis);
  const auto aperture = groups_by_aperture(analysis);
  const auto light = groups_by_light(analysis);
  const auto scene = groups_by_scene(analysis);
  out +=
      "<section aria-labelledby=\"meter\"><h2 id=\"meter\">Where the difference comes from</h2>\n";
  const bool known =
      analysis.meter && analysis.meter->bias && report::is_known(*analysis.meter->bias);
  if (known) {
    const meter::MeterBias& meter = *analysis.meter;
    report::put(out,
                "<p>The camera gives <strong>{}</strong> stops against what was asked, over {}; "
                "what is left of it and of all below scatters by {:.1f} stops.</p>\n",
                report::typeset(report::estimate_text(*meter.bias)),
                report::frames_text(meter.frames_used), meter.scatter);
    const std::string before = report::previous_roll_text(analysis);
    if (!before.empty()) {
      report::put(out, "<p>{}</p>\n", report::escape_markup(report::typeset(before)));
    }
  } else {
    out += "<p>Too few frames with settings to say how the camera meters.</p>\n";
  }
  out += "<div class=\"charts\">\n";
  for (const auto& [groups, title] :
       {std::pair(&shutter, "By shutter speed"), std::pair(&aperture, "By aperture"),
        std::pair(&light, "By light, EV at ISO 100")}) {
    put_figure(out, bias_chart(analysis, *groups, title), title);
  }
  const char* scenes = "By scene: what it needed beyond a true meter";
  put_figure(out, scene_chart(scene, scenes), scenes);
  out += "</div>\n";
  if (!shutter.empty() || !aperture.empty()) {
    out +=
        "<p class=\"note\">Each dot is a frame and leads to it: exposure less what was asked; by "
        "scene, what the picture needed beyond a meter that is true. Band: the camera as a whole. "
        "Cross: where the speed, the aperture, the light or the scene lies, with the range that "
        "holds the truth 95 times in 100; by light it is the mean of three frames or more. A short "
        "grey line is a mean without a range. Frames whose row is doubtful or of which only a "
        "bound "
        "is known have no dot.</p>\n";
  }
  std::vector<std::string> notes;
  for (const std::string& text : far_frame_texts(analysis, std::array{shutter, aperture})) {
    notes.push_back(report::escape_markup(report::typeset(text)));
  }
  if (analysis.meter) {
    for (const meter::BiasEffect& effect : analysis.meter->effects) {
      if (effect.factor == meter::BiasFactor::shutter ||
          effect.factor == meter::BiasFactor::aperture)
        continue;  // in the charts
      if (!report::is_known(effect.stops)) continue;
      notes.push_back(fmt::format(
          "{}: {} over {}",
          report::escape_markup(report::sentence_case(report::effect_name(effect))),
          report::typeset(report::effect_text(effect)), report::frames_text(effect.frames)));
    }
    for (const std::string& sentence : report::not_identifiable_texts(*analysis.meter)) {
      notes.push_back(report::escape_markup(sentence));
    }
  }
  put_list(out, "note", notes);
  out += "</section>\n";
}

void put_curve(std::string& out, const roll::Analysis& analysis) {
  const std::string chart = curve_chart(analysis);
  if (chart.empty()) return;
  out +=
      "<section aria-labelledby=\"curve\"><h2 id=\"curve\">The film's curve, and where each "
      "frame sat</h2>\n";
  report::open_scroll_box(out, "Chart of the film's curve");
  out += chart;
  report::put(
      out,
      "</div><p class=\"note\">Upwards: net density, above base + fog. To the right: more "
      "exposure, in stops from the aim. The band: where the curve may lie as well, darkest where "
      "it "
      "is likeliest; its outer edge holds it 95 times in 100. Dots on it: the frames. Below, each "
      "frame from its shadows to its highlights, the dot at what it got, with its range. Contrast "
      "from: {}, uncertain by {:.0f} %.</p></section>\n",
      name_of(analysis.film.contrast_source), 100 * analysis.film.contrast_relative_sigma);
}

std::string page(const roll::Analysis& analysis, const std::string& index) {
  std::string out;
  put_head(out, title_of(analysis), "img-src data:; script-src '" + script_source() + "'; ");
  report::put(
      out,
      "<body>\n<a class=\"skip\" href=\"#roll\">To the roll</a>\n<header "
      "class=\"page-head\">{}<h1>{}"
      "</h1><p class=\"meta\">{}</p></header>\n<main>\n",
      index.empty() ? "" : fmt::format("<p class=\"back\"><a href=\"{}\">All rolls</a></p>", index),
      report::escape_markup(title_of(analysis)), report::escape_markup(meta_line(analysis)));
  for (const PagePart& part : page_parts(analysis, frame_images(analysis))) out += part.html;
  out += "</main>\n";
  put_foot(out);
  report::put(out, "<script>{}</script>\n</body>\n</html>\n", kPageScript);
  return out;
}

}  // namespace

std::string script_source() {
  std::vector<std::uint8_t> bytes;
  for (std::size_t i = 0; i + 1 < kPageScriptSha256.size(); i += 2) {
    bytes.push_back(static_cast<std::uint8_t>(
        std::stoi(std::string(kPageScriptSha256.substr(i, 2)), nullptr, 16)));
  }
  return "sha256-" + base64(bytes);
}

std::string meta_line(const roll::Analysis& analysis) {
  return report::roll_text(analysis) + " " + report::sentence_case(analysis.film.name) + ", ISO " +
         as_marked(analysis.film.iso_speed) + ".";
}

std::vector<PagePart> page_parts(const roll::Analysis& analysis,
                                 const std::vector<FrameImages>& images) {
  std::vector<PagePart> parts;
  const auto add = [&](const char* name, const auto& put) {
    parts.push_back({name, ""});
    put(parts.back().html);
  };
  add("next", [&](std::string& out) { put_next_time(out, analysis); });
  add("roll", [&](std::string& out) {
    put_strip(out, analysis, images);
    if (!analysis.development) return;
    const std::string step = report::development_step(*analysis.development);
    report::put(out, "<p class=\"note\">{}{}</p>\n",
                report::escape_markup(report::development_text(*analysis.development)),
                step.empty() ? "" : " " + report::escape_markup(step));
  });
  add("along", [&](std::string& out) { put_roll_exposure(out, analysis); });
  add("meter", [&](std::string& out) { put_meter(out, analysis); });
  add("frames", [&](std::string& out) { put_frames(out, analysis, images); });
  add("log", [&](std::string& out) { put_matching(out, analysis); });
  add("curve", [&](std::string& out) { put_curve(out, analysis); });
  add("care", [&](std::string& out) { put_warnings(out, analysis); });
  add("how", [&](std::string& out) { put_method(out, analysis); });
  add("words", [](std::string& out) { put_glossary(out); });
  return parts;
}

void put_foot(std::string& out) {
  report::put(
      out,
      "<footer class=\"page-foot\">Made by basefog {}. Nothing here comes from or goes to a "
      "network.</footer>\n"
      "<dialog id=\"viewer\" aria-labelledby=\"viewer-title\"><div class=\"bar\">"
      "<button type=\"button\" id=\"previous\">Previous</button>"
      "<button type=\"button\" id=\"next\">Next</button>"
      "<button type=\"button\" id=\"close\">Close</button></div>"
      "<h2 id=\"viewer-title\" class=\"skip\">A frame</h2><div class=\"slot\"></div></dialog>\n",
      kVersion);
}

void put_head(std::string& out, std::string_view title, std::string_view may_load) {
  report::put(
      out,
      "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; {}"
      "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
      "<meta name=\"generator\" content=\"basefog {}\">\n<title>{}</title>\n<style>\n{}</style>\n"
      "</head>\n",
      may_load, kVersion, report::escape_markup(title), kPageStyle);
}

void write_html(std::ostream& out, const roll::Analysis& analysis, const std::string& index) {
  out << page(analysis, index);
}

}  // namespace basefog::page

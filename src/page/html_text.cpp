// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <string_view>

#include "basefog/core/version.hpp"
#include "basefog/report/film_wording.hpp"
#include "basefog/report/matching_wording.hpp"
#include "basefog/report/next_roll_wording.hpp"
#include "basefog/report/question_wording.hpp"
#include "basefog/report/roll_wording.hpp"
#include "page/html_parts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/warning_groups.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// The text of an advice, what is to be dialled set apart.
std::string emphasised(const report::AdviceWords& words) {
  const auto plain = [](const std::string& text) {
    return report::typeset(report::escape_markup(text));
  };
  const std::string setting = words.setting.empty() ? "" : "<b>" + plain(words.setting) + "</b>";
  return plain(words.before) + setting + plain(words.after);
}

void put_row(std::string& out, const char* term, const std::string& text) {
  if (!text.empty()) report::put(out, "<dt>{}</dt><dd>{}</dd>\n", term, text);
}

std::string escaped_list(const std::vector<std::string>& names) {
  return report::escape_markup(report::list_text(names, 40));
}

/// How many frames each of some words applies to: "rebate in 10 scans, roll in 2".
template <class WordOf>
std::string counts_text(const roll::Analysis& analysis, const WordOf& word_of) {
  std::map<std::string, int> counts;
  for (const roll::FrameResult& frame : analysis.frames) {
    const std::string word = word_of(frame);
    if (!word.empty()) ++counts[word];
  }
  std::string text;
  for (const auto& [word, count] : counts) {
    text += fmt::format("{}{} ({} frame{})", text.empty() ? "" : ", ", word, count,
                        count == 1 ? "" : "s");
  }
  return text;
}

const char* metering_words(MeteringPattern pattern) {
  switch (pattern) {
    case MeteringPattern::average:
      return "the whole frame alike";
    case MeteringPattern::centre_weighted:
      return "centre-weighted: 65 % on a disc of a third of the long side";
    case MeteringPattern::spot:
      return "a spot in the middle, 0.16 of the long side";
    case MeteringPattern::unknown:
      break;
  }
  return "not said, so that the whole frame and centre-weighted were both allowed for";
}

std::string reference_words(density::ReferenceKind kind) {
  switch (kind) {
    case density::ReferenceKind::rebate:
      return "rebate in the same scan";
    case density::ReferenceKind::base_scan:
      return "a scan of clear film";
    case density::ReferenceKind::roll:
      return "the clearest film on the roll";
    case density::ReferenceKind::given:
      return "a density given by hand";
    case density::ReferenceKind::none:
      return "none found";
  }
  return "";
}

struct Term {
  const char* word;
  const char* meaning;
};

constexpr auto kGlossary = std::to_array<Term>({
    {"Stop",
     "A factor of two in exposure. One stop more is twice the time, or the next full "
     "f-number down."},
    {"Exposure index (EI)",
     "The film speed that is dialled on the meter. Dialling half the film's ISO speed gives one "
     "stop more."},
    {"Base + fog",
     "The density of developed film that got no light. It is the zero from which all "
     "other densities are counted."},
    {"Rebate",
     "The clear film around and between the frames. It shows base + fog, so keep it in "
     "view when you scan."},
    {"Aim",
     "The exposure that a meter gives to an even mid-tone on film of this speed. Plus is "
     "more exposure than that, minus is less."},
    {"What the film got",
     "The exposure of the frame as a meter would average it, in stops from the aim. It "
     "shows what the camera did, whatever the scene."},
    {"Speed point",
     "The exposure that just leaves a usable trace, by which a film's ISO speed is "
     "defined. Darker shadows come out as clear film."},
    {"Shadow reserve",
     "How many stops the frame's shadows lie above the speed point. Below zero, "
     "they have lost their detail."},
    {"Highlight room",
     "How many stops the frame's highlights lie below the film's usable limit. "
     "Below zero, they are blocked up."},
    {"What the picture needed",
     "The change of exposure that would have kept most of the picture on the film. "
     "\u201CUnder 0.8\u201D means that it needed 0.8 stop more."},
    {"Zone",
     "A step of one stop on a scale from black (0) to paper white (X). The meter puts what "
     "it reads in the middle of it, on zone V."},
    {"Reciprocity",
     "At times of seconds and longer film responds less than time and light promise. "
     "Such exposures need more time than the meter says."},
    {"95 % interval",
     "The range that holds the true value 95 times in 100. A short one means that "
     "the scan settles it well."},
});

}  // namespace

void put_list(std::string& out, const char* classes, const std::vector<std::string>& items) {
  if (items.empty()) return;
  report::put(out, "<ul class=\"{}\">", classes);
  for (const std::string& item : items) report::put(out, "<li>{}</li>", item);
  out += "</ul>\n";
}

std::string title_of(const roll::Analysis& analysis) {
  std::string title;
  if (analysis.log) {
    title = analysis.log->roll.empty() ? analysis.log->path.stem().string() : analysis.log->roll;
  }
  // A log that is just called a log says less than the folder of the scans.
  if ((title.empty() || title == "log") && !analysis.frames.empty()) {
    title = analysis.frames[0].measurement.file.parent_path().filename().string();
  }
  title = title.empty() ? "A roll of film" : "Roll \u201C" + title + "\u201D";
  const std::string camera = report::camera_name(analysis);
  return camera.empty() ? title : title + ", " + camera;
}

void put_next_time(std::string& out, const roll::Analysis& analysis) {
  out +=
      "<section class=\"next\" aria-labelledby=\"next-time\"><h2 id=\"next-time\">Next time</h2>"
      "\n<p class=\"say\">";
  std::vector<report::AdviceWords> words;
  if (analysis.next_roll) words = report::plan_words(*analysis.next_roll);
  std::size_t said = words.size();
  std::ranges::transform(analysis.advice, std::back_inserter(words), report::advice_words);
  if (words.empty()) {
    const bool measured = std::any_of(analysis.frames.begin(), analysis.frames.end(),
                                      [](const roll::FrameResult& frame) {
                                        return frame.state == density::FrameState::measured;
                                      });
    out += measured ? "The frames were measured one by one, as below."
                    : "These scans could not be measured; see below what to do about it.";
  }
  // Where there is no plan, what comes first is large.
  if (said == 0) said = std::min<std::size_t>(1, words.size());
  for (std::size_t i = 0; i < said; ++i) {
    report::put(out, "{}{}", i == 0 ? "" : " ", emphasised(words[i]));
  }
  out += "</p>\n";
  const auto plain = [](const std::string& text) {
    return report::typeset(report::escape_markup(text));
  };
  std::vector<std::string> reasons;
  for (std::size_t i = 0; i < said; ++i) {
    if (words[i].evidence.empty()) continue;
    reasons.push_back(plain(report::sentence_case(words[i].evidence) + "."));
  }
  if (analysis.next_roll) {
    const std::string promise = report::promise_text(*analysis.next_roll);
    if (!promise.empty()) reasons.push_back(plain(promise));
  }
  for (std::size_t i = said; i < words.size(); ++i) reasons.push_back(plain(words[i].text()));
  if (!analysis.log) {
    reasons.push_back("There is no log: with one, this page would also say what the meter does.");
  }
  put_list(out, "why", reasons);
  out += "</section>\n";
}

void put_matching(std::string& out, const roll::Analysis& analysis) {
  if (!analysis.matching || !analysis.log) return;
  const matching::Matching& matching = *analysis.matching;
  out +=
      "<section class=\"text\" aria-labelledby=\"log\"><h2 id=\"log\">Frames and the "
      "log</h2>\n<dl>";
  put_row(out, "Log",
          analysis.log->path.empty()
              ? "the settings in the scans themselves"
              : report::escape_markup(analysis.log->path.filename().string()));
  put_row(out, "Direction",
          matching.direction == matching::FilmDirection::reversed
              ? "the log runs against the order of the scans"
              : "the log runs in the order of the scans");
  put_row(out, "Sure of the pairs", fmt::format("{:.0f} %", 100 * matching.confidence));
  std::vector<std::string> rows;
  for (std::size_t row : matching.unmatched_rows) {
    if (row < analysis.log->rows.size()) rows.push_back(matching::row_name(*analysis.log, row));
  }
  const std::vector<std::string> names = report::frame_names(analysis);
  std::vector<std::string> frames;
  std::vector<std::string> doubtful;
  for (std::size_t frame : matching.unmatched_frames) {
    if (frame < names.size()) frames.push_back(names[frame]);
  }
  for (std::size_t i = 0; i < std::min(names.size(), matching.frames.size()); ++i) {
    if (matching.frames[i].doubtful) {
      doubtful.push_back(names[i] + ": " + report::possible_rows_text(analysis, i));
    }
  }
  put_row(out, "Rows with no frame", escaped_list(rows));
  put_row(out, "Frames with no row", escaped_list(frames));
  put_row(out, "Doubtful pairs", escaped_list(doubtful));
  for (const std::string& text : report::question_sentences(analysis)) {
    put_row(out, "To answer", report::escape_markup(text));
  }
  for (const std::string& text : report::matching_texts(matching)) {
    put_row(out, "Note", report::escape_markup(text));
  }
  out += "</dl></section>\n";
}

void put_warnings(std::string& out, const roll::Analysis& analysis) {
  const std::vector<report::WarningGroup> groups = report::grouped_warnings(analysis);
  if (groups.empty()) return;
  out +=
      "<section aria-labelledby=\"care\"><h2 id=\"care\">Take care</h2>\n<ul class=\"warnings\">";
  for (const report::WarningGroup& group : groups) {
    report::put(out, "<li><span class=\"where\">{}</span>{} {}</li>\n",
                report::escape_markup(report::place_text(group)), report::escape_markup(group.text),
                report::escape_markup(group.next_step));
  }
  out += "</ul></section>\n";
}

void put_method(std::string& out, const roll::Analysis& analysis) {
  const Aim& aim = analysis.aim;
  const film::FilmProfile& film = analysis.film;
  out +=
      "<section class=\"text\" aria-labelledby=\"how\"><h2 id=\"how\">How it was "
      "measured</h2>\n<dl>";
  put_row(out, "Aim",
          fmt::format("{:.3g} lux\u00B7s on film of ISO {}: q K / S with K {:g} cd/m\u00B2 and q "
                      "{:g}. Published constants for a correct exposure differ by up to a stop; "
                      "differences between frames do not depend on it.",
                      aim.lux_seconds(), as_marked(aim.film_speed), aim.k, aim.q));
  put_row(out, "Film",
          report::escape_markup(report::sentence_case(film.name)) +
              fmt::format(", ISO {}, contrast uncertain by {:.0f} % (", as_marked(film.iso_speed),
                          100 * film.contrast_relative_sigma) +
              std::string(name_of(film.contrast_source)) + ")");
  put_row(out, "Film notes", report::escape_markup(film.notes));
  for (const std::string& note : report::film_texts(analysis)) {
    put_row(out, "On this roll", report::escape_markup(note));
  }
  put_row(out, "To be surer", report::escape_markup(report::doubt_text(analysis)));
  put_row(out, "Colour", report::escape_markup(report::channels_text(film)));
  put_row(out, "Meter looked at", metering_words(analysis.metering));
  put_row(out, "Log",
          analysis.log && !analysis.log->path.empty()
              ? report::escape_markup(analysis.log->path.filename().string())
              : "");
  put_row(out, "Camera", report::escape_markup(report::camera_name(analysis)));
  put_row(out, "Density zero", counts_text(analysis, [](const roll::FrameResult& frame) {
            return frame.state == density::FrameState::unreadable
                       ? std::string()
                       : reference_words(frame.reference.kind);
          }));
  put_row(out, "Response of the scans",
          report::escape_markup(counts_text(analysis, [](const auto& frame) {
            return report::response_text(frame.measurement.response.source);
          })));
  put_row(out, "Density is read",
          "on squares of 1/72 of the frame\u2019s long side, 0.5 mm on a "
          "36 mm frame, as a densitometer would");
  put_row(out, "Prints",
          "proofs on a paper of normal grade, for looking at; no number is taken from them" +
              std::string(film.layers.size() == 3
                              ? ". Colour is balanced on the base and on the roll as a whole"
                              : ""));
  std::string said;
  for (const std::string& text : report::stated_texts(analysis)) {
    said += (said.empty() ? "" : "; ") + text;
  }
  put_row(out, "Options", report::escape_markup(said));
  std::string files;
  for (const auto& [role, path, sum] : analysis.inputs) {
    files += (files.empty() ? "" : "; ") + path.filename().string();
    if (sum) files += fmt::format(" ({} bytes, crc32 {})", sum->bytes, report::crc32_text(*sum));
  }
  put_row(out, "Files", report::escape_markup(files));
  put_row(out, "Made by", fmt::format("basefog {}", kVersion));
  out += "</dl></section>\n";
}

void put_glossary(std::string& out) {
  out += "<section class=\"text\" aria-labelledby=\"words\"><h2 id=\"words\">Words</h2>\n<dl>";
  for (const Term& term : kGlossary) put_row(out, term.word, term.meaning);
  out += "</dl></section>\n";
}

}  // namespace basefog::page

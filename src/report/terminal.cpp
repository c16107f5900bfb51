// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include "basefog/report/film_wording.hpp"
#include "basefog/report/matching_wording.hpp"
#include "basefog/report/next_roll_wording.hpp"
#include "basefog/report/question_wording.hpp"
#include "basefog/report/replacement_wording.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_wording.hpp"
#include "basefog/roll/roll_trend.hpp"
#include "report/markup.hpp"
#include "report/terminal_frames.hpp"
#include "report/warning_groups.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

constexpr int kLeastColumns = 30;
constexpr int kMostColumns = 132;

/// The reading guide below the table, only of what it shows.
std::vector<std::string> key_sentences(const roll::Analysis& analysis, bool ruler) {
  const bool drawn =
      std::any_of(analysis.frames.begin(), analysis.frames.end(),
                  [](const roll::FrameResult& frame) { return frame.reading.has_value(); });
  if (!drawn) return {};
  std::string key =
      "In stops, + is more; ranges hold the truth 95 times in 100. Sure: from 90 %, likely: from "
      "66 %.";
  if (analysis.log) key += " Asked: by the settings in the log.";
  if (ruler) key += " Ruler: | the aim, \u25CF\u2500 the film got, \u25B2 the picture needed.";
  return {key};
}

/// What the roll shows of its film; of the light's colour, the frames that stand out.
std::vector<std::string> film_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text = film_texts(analysis);
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    if (!frame.reading || !frame.flags.contains(Flag::layer_starved)) continue;
    const std::string light = light_colour_text(*frame.reading);
    if (!light.empty()) text.push_back("Frame " + names[i] + ". " + light);
  }
  const std::string channels = channels_text(analysis.film);
  if (!channels.empty()) text.push_back(channels);
  return text;
}

std::vector<std::string> matching_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  if (!analysis.log) return {"There is no log, so nothing is said about meter and settings."};
  if (!analysis.matching) return text;
  const matching::Matching& matching = *analysis.matching;
  std::size_t paired = 0;
  for (const roll::FrameResult& frame : analysis.frames)
    paired += frame.log_row.has_value() ? 1 : 0;
  text.push_back(fmt::format("{} of {} frames belong to a row of the log{}; {:.0f} % sure.", paired,
                             analysis.frames.size(),
                             matching.direction == matching::FilmDirection::reversed
                                 ? ", which runs against the order of the scans"
                                 : "",
                             100 * matching.confidence));
  std::vector<std::string> rows;
  for (std::size_t row : matching.unmatched_rows) {
    if (row < analysis.log->rows.size()) rows.push_back(matching::row_name(*analysis.log, row));
  }
  if (!rows.empty()) text.push_back("Rows with no frame: " + list_text(rows, 12) + ".");
  const std::vector<std::string> names = frame_names(analysis);
  std::vector<std::string> frames;
  for (std::size_t frame : matching.unmatched_frames) {
    if (frame < names.size()) frames.push_back(names[frame]);
  }
  if (!frames.empty()) text.push_back("Frames with no row: " + list_text(frames, 12) + ".");
  std::ranges::move(matching_texts(matching), std::back_inserter(text));
  return text;
}

std::vector<std::string> meter_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  if (!analysis.meter) return text;
  const meter::MeterBias& meter = *analysis.meter;
  if (meter.bias && is_known(*meter.bias)) {
    text.push_back(fmt::format("Camera: {} over {}. Frames scatter by {:.1f}.",
                               estimate_text(*meter.bias), frames_text(meter.frames_used),
                               meter.scatter));
  } else {
    text.push_back("Too few frames with settings to say how the camera meters.");
  }
  for (const meter::BiasEffect& effect : meter.effects) {
    if (!is_known(effect.stops)) continue;
    text.push_back(fmt::format("{}: {} over {}, beyond the camera's own.", effect_name(effect),
                               effect_text(effect), frames_text(effect.frames)));
  }
  std::ranges::move(not_identifiable_texts(meter), std::back_inserter(text));
  return text;
}

std::vector<std::string> technique_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  for (const meter::SceneTechnique& technique : analysis.techniques) {
    // One frame in one mode says no more than the scene's own line.
    if (technique.frames > 1) text.push_back(technique_text(technique) + ".");
  }
  return text;
}

std::vector<std::string> replacement_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const std::vector<std::string> settings = replacement_texts(analysis.frames[i].replacements);
    if (settings.empty()) continue;
    text.push_back(fmt::format("{}: {}", names[i], fmt::join(settings, " Or: ")));
  }
  return text;
}

/// Summary of the roll, and what happens along it.
std::vector<std::string> roll_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text = {roll_text(analysis)};
  if (const std::string trend = trend_text(analysis); !trend.empty()) text.push_back(trend);
  if (analysis.development) {
    text.push_back(development_text(*analysis.development));
    if (const std::string step = development_step(*analysis.development); !step.empty()) {
      text.push_back(step);
    }
  }
  if (const std::string before = previous_roll_text(analysis); !before.empty()) {
    text.push_back(before);
  }
  return text;
}

std::vector<std::string> warning_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  for (const WarningGroup& group : grouped_warnings(analysis)) {
    text.push_back(fmt::format("{}: {} {}", place_text(group), group.text, group.next_step));
  }
  return text;
}

/// Lines of a text that is wrapped behind its bold first word.
struct Lines {
  std::vector<std::string> lines;

  void add(const std::string& text, int width) {
    std::istringstream wrapped(wrap(printable(text), width, kIndent));
    for (std::string line; std::getline(wrapped, line);) lines.push_back(line);
  }
};

/// Effects that their interval supports; empty without any. Those that the plan does something
/// about stand beside that.
std::string effects_sentence(const meter::MeterBias& meter,
                             const std::optional<plan::NextRoll>& plan) {
  const auto is_planned = [&plan](const meter::BiasEffect& effect) {
    return plan && std::ranges::any_of(plan->add, [&](const plan::Allowance& one) {
             return one.what != plan::AllowanceFor::scene && one.level == effect.level;
           });
  };
  std::vector<std::string> sure;
  for (const meter::BiasEffect& effect : meter.effects) {
    if (meter::is_named(effect) && !is_planned(effect)) {
      sure.push_back(effect_name(effect) + " " + effect_text(effect));
    }
  }
  return sure.empty() ? "" : "Against the other frames: " + list_text(sure, 4) + ".";
}

std::string short_matching(const roll::Analysis& analysis) {
  if (!analysis.log) return "There is no log, so nothing is said about meter and settings.";
  const std::vector<std::string> all = matching_sentences(analysis);
  return all.empty() ? "" : all.front();
}

/// The roll in few lines: its frames, film, log and camera.
std::vector<std::string> roll_in_short(const roll::Analysis& analysis, int width) {
  constexpr std::size_t kMostLines = 6;
  std::vector<std::string> sentences = {roll_text(analysis), short_matching(analysis)};
  if (analysis.memory)
    std::ranges::move(memory_texts(*analysis.memory), std::back_inserter(sentences));
  if (analysis.meter && analysis.meter->bias && is_known(*analysis.meter->bias)) {
    sentences.push_back(
        fmt::format("The camera gave {} over {}; what no setting explains scatters by {:.1f}.",
                    estimate_text(*analysis.meter->bias), frames_text(analysis.meter->frames_used),
                    analysis.meter->scatter));
    sentences.push_back(previous_roll_text(analysis));
    sentences.push_back(effects_sentence(*analysis.meter, analysis.next_roll));
  } else if (analysis.log) {
    sentences.emplace_back("Too few frames with settings to say how the camera meters.");
  }
  if (analysis.development) {
    sentences.push_back(development_text(*analysis.development));
    sentences.push_back(development_step(*analysis.development));
  }
  const auto trend = roll::roll_trend(analysis);
  if (trend && trend->certain()) sentences.push_back(trend_text(analysis));
  Lines text;
  for (const std::string& sentence : sentences) {
    Lines more = text;
    if (!sentence.empty()) more.add(sentence, width);
    if (more.lines.size() <= kMostLines) text = std::move(more);
  }
  return text.lines;
}

/// "13 frames: contrast unknown.", a line a flag, four lines at most.
std::vector<std::string> cautions_in_short(const roll::Analysis& analysis, int width) {
  constexpr std::size_t kMostLines = 4;
  std::vector<WarningGroup> groups;
  for (const WarningGroup& group : grouped_warnings(analysis)) {
    const auto known = std::ranges::find(groups, group.flag, &WarningGroup::flag);
    if (known == groups.end()) {
      groups.push_back(group);
      continue;
    }
    known->frames.insert(known->frames.end(), group.frames.begin(), group.frames.end());
    known->next_step = text_of(group.flag).next_step;
  }
  std::vector<std::string> lines;
  for (const WarningGroup& group : groups) {
    const std::string what =
        fmt::format("{}: {}.", place_text(group), text_of(group.flag).short_text);
    const std::string whole = printable(what + " " + group.next_step);
    const bool fits = display_width(whole) + kIndent <= width;
    lines.push_back(
        wrap(fits ? whole : fit(printable(what), std::min(display_width(what), width - kIndent)),
             width, kIndent));
    lines.back().pop_back();  // the line's end
  }
  if (lines.size() > kMostLines) {
    const std::size_t more = lines.size() - (kMostLines - 1);
    lines.resize(kMostLines - 1);
    Lines rest;
    rest.add(fmt::format("And {} more: --verbose, or the report.", more), width);
    lines.insert(lines.end(), rest.lines.begin(), rest.lines.end());
  }
  return lines;
}

void write_lines(std::ostream& out, const char* heading, const std::vector<std::string>& lines,
                 const Ink& ink) {
  if (lines.empty()) return;
  out << ink.bold << heading << ink.end << '\n';
  for (const std::string& line : lines) out << line << '\n';
}

/// What fits a screen, what to do next last, since that is what stands above the prompt.
void write_short(std::ostream& out, const roll::Analysis& analysis, int width, const Ink& ink) {
  write_lines(out, "The roll", roll_in_short(analysis, width), ink);
  write_lines(out, "Take care", cautions_in_short(analysis, width), ink);
  Lines questions;
  for (const std::string& sentence : question_sentences(analysis)) questions.add(sentence, width);
  write_lines(out, "To answer", questions.lines, ink);
  Lines next;
  std::vector<roll::Advice> advice = analysis.advice;
  std::erase_if(advice, [](const roll::Advice& one) {
    return kind_of(one) == roll::AdviceKind::caution;  // the page and the card have it
  });
  for (const std::string& sentence : next_time_sentences(analysis.next_roll, advice)) {
    next.add(sentence, width);
  }
  write_lines(out, "Next time", next.lines, ink);
}

/// What is to be said of each frame, for those who asked.
void write_details(std::ostream& out, const roll::Analysis& analysis, int width, const Ink& ink) {
  out << '\n' << ink.bold << "Frame by frame" << ink.end << '\n';
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    std::string text = names[i] + ": " + picture_text(frame) + ".";
    if (frame.reading) {
      const std::string why = disagreement_text(*frame.reading);
      if (!why.empty()) text += " " + why;
    }
    std::vector<std::string_view> flags;  // each is explained once, under the warnings
    for (Flag flag : frame.flags.list()) flags.push_back(text_of(flag).short_text);
    if (!flags.empty()) text += fmt::format(" [{}]", fmt::join(flags, ", "));
    out << wrap(printable(text), width, kIndent);
  }
}

}  // namespace

void write_table(std::ostream& out, const roll::Analysis& analysis, const TerminalStyle& style) {
  const Ink ink(style.colour);
  const int width = std::clamp(style.columns, kLeastColumns, kMostColumns);
  const TableLayout layout = fitting(style.layout, width);
  out << wrap(printable(method_text(analysis)), width, 0);
  write_frames(out, analysis, layout, width, ink);
  const bool ruler = layout == TableLayout::table && width >= kLeastWithRuler;
  for (const std::string& line : key_sentences(analysis, ruler)) {
    out << ink.faint << wrap(line, width, 0) << ink.end;
  }
  if (!style.detailed) return write_short(out, analysis, width, ink);
  write_details(out, analysis, width, ink);
  write_part(out, "The roll", roll_sentences(analysis), width, ink);
  std::vector<std::string> film = film_sentences(analysis);
  if (std::string doubt = doubt_text(analysis); !doubt.empty()) film.push_back(std::move(doubt));
  write_part(out, "The film", film, width, ink);
  write_part(out, "The log", matching_sentences(analysis), width, ink);
  write_part(out, "The meter (+ gives more than asked)", meter_sentences(analysis), width, ink);
  write_part(out, "Scenes, beyond a true meter", technique_sentences(analysis), width, ink);
  write_part(out, "What the picture needed, with the film speed dial as it was",
             replacement_sentences(analysis), width, ink);
  write_part(out, "Take care", warning_sentences(analysis), width, ink);
  // Last, since that is what stands above the prompt.
  write_part(out, "To answer", question_sentences(analysis), width, ink);
  write_part(out, "Next time", next_time_sentences(analysis.next_roll, analysis.advice), width,
             ink);
}

}  // namespace basefog::report

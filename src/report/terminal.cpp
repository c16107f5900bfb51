// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <iterator>
#include <string>
#include <vector>

#include "basefog/report/advice_wording.hpp"
#include "basefog/report/film_wording.hpp"
#include "basefog/report/matching_wording.hpp"
#include "basefog/report/question_wording.hpp"
#include "basefog/report/replacement_wording.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_wording.hpp"
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
  std::vector<std::string> key{
      "In stops; + is more exposure. The picture: what it needed. Film got: its metered exposure "
      "from the aim, with the range that holds the truth 95 times in 100."};
  if (!ruler) return key;
  std::string marks = "Ruler: \u25CF what the film got, \u2500 its range";
  if (analysis.log) marks += ", \u25BD what the settings asked for (hidden where \u25CF is)";
  key.push_back(marks + ", < > beyond.");
  return key;
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

std::vector<std::string> meter_sentences(const roll::Analysis& analysis, bool detailed) {
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
  std::vector<std::string> quiet;
  for (const meter::BiasEffect& effect : meter.effects) {
    if (!is_known(effect.stops)) continue;
    const bool certain = (effect.stops.low && *effect.stops.low > Stops(0)) ||
                         (effect.stops.high && *effect.stops.high < Stops(0));
    if (certain || detailed) {
      text.push_back(fmt::format("{}: {} over {}, beyond the camera's own.", effect_name(effect),
                                 effect_text(effect), frames_text(effect.frames)));
    } else {
      quiet.push_back(effect_name(effect));
    }
  }
  if (!quiet.empty()) text.push_back("No difference seen: " + list_text(quiet, 40) + ".");
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
  if (analysis.development) text.push_back(development_text(*analysis.development));
  return text;
}

std::vector<std::string> warning_sentences(const roll::Analysis& analysis) {
  std::vector<std::string> text;
  for (const WarningGroup& group : grouped_warnings(analysis)) {
    text.push_back(fmt::format("{}: {} {}", place_text(group), group.text, group.next_step));
  }
  return text;
}

/// What is to be said of each frame, for those who asked.
void write_details(std::ostream& out, const roll::Analysis& analysis, int width, const Ink& ink) {
  out << '\n' << ink.bold << "Frame by frame" << ink.end << '\n';
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    std::string text = names[i] + ": " + picture_text(frame) + ".";
    if (frame.reading) {
      for (const std::string& more :
           {disagreement_text(*frame.reading), doubt_text(*frame.reading)}) {
        if (!more.empty()) text += " " + more;
      }
    }
    for (Flag flag : frame.flags.list()) text += " " + std::string(text_of(flag).long_text);
    out << wrap(printable(text), width, kIndent);
  }
}

}  // namespace

void write_table(std::ostream& out, const roll::Analysis& analysis, const TerminalStyle& style) {
  const Ink ink(style.colour);
  const int width = std::clamp(style.columns, kLeastColumns, kMostColumns);
  const TableLayout layout = fitting(style.layout, width);
  out << wrap(printable(method_text(analysis)), width, 0) << '\n';
  write_frames(out, analysis, layout, width, ink);
  out << '\n';
  const bool ruler = layout == TableLayout::table && width >= kLeastWithRuler;
  for (const std::string& line : key_sentences(analysis, ruler)) {
    out << ink.faint << wrap(line, width, 0) << ink.end;
  }
  if (style.detailed) write_details(out, analysis, width, ink);
  write_part(out, "The roll", roll_sentences(analysis), width, ink);
  write_part(out, "The film", film_sentences(analysis), width, ink);
  write_part(out, "The log", matching_sentences(analysis), width, ink);
  write_part(out, "The meter (+ gives more than asked)", meter_sentences(analysis, style.detailed),
             width, ink);
  write_part(out, "Scenes, beyond a true meter", technique_sentences(analysis), width, ink);
  write_part(out, "What the picture needed, with the film speed dial as it was",
             replacement_sentences(analysis), width, ink);
  write_part(out, "Take care", warning_sentences(analysis), width, ink);
  // Last, since that is what stands above the prompt.
  write_part(out, "To answer", question_sentences(analysis), width, ink);
  write_part(out, "Next time", advice_sentences(analysis.advice), width, ink);
}

}  // namespace basefog::report

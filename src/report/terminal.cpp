// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "basefog/report.hpp"
#include "report/markup.hpp"
#include "report/ruler.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace {

using report::fit;
using report::printable;

/// Width of the columns that never change; the rest goes to frame names and scene words.
constexpr int kPictureWidth = 26;
constexpr int kExposureWidth = 20;
constexpr int kAskedWidth = 5;
/// The ruler's numbers are signed, so that its first mark stands one place in.
constexpr int kRulerWidth = 1 + report::kRulerPlaces;
constexpr int kLeastColumns = 80;
constexpr int kMostColumns = 132;
constexpr int kIndent = 2;

/// SGR sequences [ECMA48]; empty without colour.
struct Ink {
  explicit Ink(bool colour)
      : bold(colour ? "\x1b[1m" : ""),
        faint(colour ? "\x1b[2m" : ""),
        under(colour ? "\x1b[34m" : ""),
        over(colour ? "\x1b[33m" : ""),
        end(colour ? "\x1b[0m" : "") {}
  const char* bold;
  const char* faint;
  const char* under;
  const char* over;
  const char* end;
};

struct Columns {
  int name = 8;
  int asked = 0;  ///< 0: no column, as without a log
  int scene = 0;  ///< 0: no column
};

Columns columns_for(const Analysis& analysis, const std::vector<std::string>& names, int width) {
  int longest = 5;  // "frame"
  for (const std::string& name : names) {
    longest = std::max(longest, report::display_width(printable(name)));
  }
  Columns columns;
  columns.asked = analysis.log ? kAskedWidth + 1 : 0;
  const int fixed = kPictureWidth + 1 + kExposureWidth + 1 + columns.asked + kRulerWidth;
  columns.name = std::min(longest, width - fixed - 1);
  const int left = width - fixed - columns.name - 1;
  // Two spaces before the scene, and no column for less than a word.
  if (analysis.log && left >= 8) columns.scene = left - 2;
  return columns;
}

const char* verdict_ink(const Ink& ink, const FrameResult& frame) {
  if (!frame.reading || frame.reading->verdict == Verdict::well_exposed) return "";
  return frame.reading->verdict < Verdict::well_exposed ? ink.under : ink.over;
}

std::string ruler_text(const FrameResult& frame, const Ink& ink) {
  if (!frame.reading || !report::is_known(frame.reading->exposure.estimate)) return "";
  std::string text;
  for (report::RulerMark mark : report::ruler(frame.reading->exposure.estimate, frame.expected)) {
    const bool background = mark == report::RulerMark::stop || mark == report::RulerMark::zero;
    if (background) text += ink.faint;
    if (mark == report::RulerMark::exposure) text += verdict_ink(ink, frame);
    text += report::glyph(mark);
    if (background || mark == report::RulerMark::exposure) text += ink.end;
  }
  return text;
}

/// The value under the sign of its neighbours: "0.0" has none.
std::string aligned(const std::string& number) {
  return number.starts_with('0') ? " " + number : number;
}

std::string row_text(const Analysis& analysis, const FrameResult& frame, const std::string& name,
                     const Columns& columns, const Ink& ink) {
  std::string text = fit(report::cut_middle(name, columns.name), columns.name) + " ";
  const LogRow* row = report::row_of(analysis, frame);
  if (frame.reading) {
    text += verdict_ink(ink, frame);
    text += ink.bold + fit(report::picture_text(frame), kPictureWidth) + ink.end + " ";
    text += fit(aligned(report::estimate_text(frame.reading->exposure.estimate)), kExposureWidth);
  } else {
    text += ink.faint + fit(report::picture_text(frame), kPictureWidth + 1 + kExposureWidth);
    text += ink.end;
  }
  text += ' ';
  text += fit(frame.expected ? aligned(report::signed_stops(*frame.expected)) : "", columns.asked);
  const std::string drawn = ruler_text(frame, ink);
  text += " " + (drawn.empty() ? std::string(report::kRulerPlaces, ' ') : drawn);
  if (columns.scene > 0 && row != nullptr) text += "  " + fit(row->scene, columns.scene);
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

void write_frames(std::ostream& out, const Analysis& analysis, int width, const Ink& ink) {
  const std::vector<std::string> names = report::frame_names(analysis);
  const Columns columns = columns_for(analysis, names, width);
  out << ink.faint << fit("frame", columns.name) << ' ' << fit("the picture was", kPictureWidth)
      << ' ' << fit("film got, from aim", kExposureWidth) << ' ' << fit("asked", columns.asked)
      << report::ruler_head() << (columns.scene > 0 ? "  scene" : "") << ink.end << '\n';
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    out << row_text(analysis, analysis.frames[i], names[i], columns, ink) << '\n';
  }
}

/// A heading and sentences below it, each wrapped.
void write_part(std::ostream& out, const char* heading, const std::vector<std::string>& sentences,
                int width, const Ink& ink) {
  if (sentences.empty()) return;
  out << '\n' << ink.bold << heading << ink.end << '\n';
  for (const std::string& sentence : sentences) {
    out << report::wrap(printable(sentence), width, kIndent);
  }
}

/// The reading guide below the table, only of what it shows.
std::vector<std::string> key_sentences(const Analysis& analysis) {
  const bool drawn =
      std::any_of(analysis.frames.begin(), analysis.frames.end(),
                  [](const FrameResult& frame) { return frame.reading.has_value(); });
  if (!drawn) return {};
  std::vector<std::string> key{
      "In stops; + is more exposure. The picture: what it needed. Film got: its metered exposure "
      "from the aim, with the range that holds the truth 95 times in 100."};
  std::string marks = "Ruler: \u25CF what the film got, \u2500 its range";
  if (analysis.log) marks += ", \u25BD what the settings asked for (hidden where \u25CF is)";
  key.push_back(marks + ", < > beyond.");
  return key;
}

/// What the roll shows of its film; of the light's colour, the frames that stand out.
std::vector<std::string> film_sentences(const Analysis& analysis) {
  std::vector<std::string> text = analysis.film_notes;
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const FrameResult& frame = analysis.frames[i];
    if (!frame.reading || !frame.flags.contains(Flag::layer_starved)) continue;
    const std::string light = report::light_colour_text(*frame.reading);
    if (!light.empty()) text.push_back("Frame " + names[i] + ". " + light);
  }
  const std::string channels = report::channels_text(analysis.film);
  if (!channels.empty()) text.push_back(channels);
  return text;
}

std::vector<std::string> matching_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  if (!analysis.log) return {"No log was given, so nothing is said about meter and settings."};
  if (!analysis.matching) return text;
  const Matching& matching = *analysis.matching;
  std::size_t paired = 0;
  for (const FrameResult& frame : analysis.frames) paired += frame.log_row.has_value() ? 1 : 0;
  text.push_back(fmt::format("{} of {} frames belong to a row of the log{}; {:.0f} % sure.", paired,
                             analysis.frames.size(),
                             matching.direction == FilmDirection::reversed
                                 ? ", which runs against the order of the scans"
                                 : "",
                             100 * matching.confidence));
  std::vector<std::string> rows;
  for (std::size_t row : matching.unmatched_rows) {
    if (row < analysis.log->rows.size()) rows.push_back(row_name(*analysis.log, row));
  }
  if (!rows.empty()) text.push_back("Rows with no frame: " + report::list_text(rows, 12) + ".");
  const std::vector<std::string> names = report::frame_names(analysis);
  std::vector<std::string> frames;
  for (std::size_t frame : matching.unmatched_frames) {
    if (frame < names.size()) frames.push_back(names[frame]);
  }
  if (!frames.empty()) text.push_back("Frames with no row: " + report::list_text(frames, 12) + ".");
  std::string doubtful;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::string possible = report::possible_rows_text(analysis, i);
    if (possible.empty()) continue;
    doubtful += (doubtful.empty() ? "" : "; ") + names[i] + ": " + possible;
  }
  if (!doubtful.empty()) {
    text.push_back("Doubtful, and left out of the meter's bias: " + doubtful + ".");
  }
  text.insert(text.end(), matching.notes.begin(), matching.notes.end());
  for (const LogRemark& remark : analysis.log->remarks) {
    text.push_back(fmt::format("Log, line {}: {}", remark.line, remark.text));
  }
  return text;
}

std::vector<std::string> meter_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  if (!analysis.meter) return text;
  const MeterBias& meter = *analysis.meter;
  if (meter.bias && report::is_known(*meter.bias)) {
    text.push_back(fmt::format("Camera: {} over {} frame{}. Frames scatter by {:.1f}.",
                               report::estimate_text(*meter.bias), meter.frames_used,
                               meter.frames_used == 1 ? "" : "s", meter.scatter));
  } else {
    text.push_back("Too few frames with settings to say how the camera meters.");
  }
  std::vector<std::string> quiet;
  for (const BiasEffect& effect : meter.effects) {
    if (!report::is_known(effect.stops)) continue;
    const bool certain = (effect.stops.low && *effect.stops.low > Stops(0)) ||
                         (effect.stops.high && *effect.stops.high < Stops(0));
    if (certain) {
      text.push_back(fmt::format("{}: {} over {} frame{}, beyond the camera's own.",
                                 report::effect_name(effect), report::estimate_text(effect.stops),
                                 effect.frames, effect.frames == 1 ? "" : "s"));
    } else {
      quiet.push_back(report::effect_name(effect));
    }
  }
  if (!quiet.empty()) text.push_back("No difference seen: " + report::list_text(quiet, 40) + ".");
  text.insert(text.end(), meter.not_identifiable.begin(), meter.not_identifiable.end());
  return text;
}

std::vector<std::string> technique_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  for (const SceneTechnique& technique : analysis.techniques) {
    // One frame in one mode says no more than the scene's own line.
    if (technique.frames > 1) text.push_back(technique.text + ".");
  }
  return text;
}

std::vector<std::string> replacement_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const Replacements& replacements = analysis.frames[i].replacements;
    if (replacements.options.empty() && replacements.none.empty()) continue;
    std::string line = names[i] + ": ";
    for (const Replacement& replacement : replacements.options) {
      line += (&replacement == &replacements.options.front() ? "" : " Or: ") + replacement.text;
    }
    text.push_back(line + replacements.none);
  }
  return text;
}

std::vector<std::string> warning_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  for (const report::WarningGroup& group : report::grouped_warnings(analysis)) {
    text.push_back(
        fmt::format("{}: {} {}", report::place_text(group), group.text, group.next_step));
  }
  return text;
}

std::vector<std::string> advice_sentences(const Analysis& analysis) {
  std::vector<std::string> text;
  for (const Advice& advice : analysis.advice) {
    text.push_back(advice.text + (advice.evidence.empty() ? "" : " [" + advice.evidence + "]"));
  }
  return text;
}

}  // namespace

void write_table(std::ostream& out, const Analysis& analysis, const TerminalStyle& style) {
  const Ink ink(style.colour);
  const int width = std::clamp(style.columns, kLeastColumns, kMostColumns);
  out << report::wrap(printable(report::method_text(analysis)), width, 0) << '\n';
  write_frames(out, analysis, width, ink);
  out << '\n';
  for (const std::string& line : key_sentences(analysis)) {
    out << ink.faint << report::wrap(line, width, 0) << ink.end;
  }
  write_part(out, "The roll", {report::roll_text(analysis)}, width, ink);
  write_part(out, "The film", film_sentences(analysis), width, ink);
  write_part(out, "The log", matching_sentences(analysis), width, ink);
  write_part(out, "The meter (+ gives more than asked)", meter_sentences(analysis), width, ink);
  write_part(out, "Scenes, beyond a true meter", technique_sentences(analysis), width, ink);
  write_part(out, "What the picture needed, with the film speed dial as it was",
             replacement_sentences(analysis), width, ink);
  write_part(out, "Take care", warning_sentences(analysis), width, ink);
  // Last, since that is what stands above the prompt.
  write_part(out, "Next time", advice_sentences(analysis), width, ink);
}

}  // namespace basefog

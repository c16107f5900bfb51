// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>

#include "basefog/report/roll_summary.hpp"
#include "report/markup.hpp"
#include "report/terminal_frames.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

constexpr int kLeastColumns = 40;
constexpr int kMostColumns = 132;
/// Below this width a roll takes two lines.
constexpr int kOneLine = 92;

std::string counts(const RollSummary& roll) {
  return fmt::format("{:>6} {:>5} {:>4} {:>6} {:>5}", roll.frames, roll.under, roll.over,
                     roll.unsure, roll.not_measured);
}

std::string bias(const RollSummary& roll) {
  return roll.bias ? estimate_text(*roll.bias) : roll.with_log ? "not known" : "no log";
}

std::string worst(const RollSummary& roll) {
  return roll.worst_frame.empty() ? "" : roll.worst_frame + ": " + roll.worst_words;
}

std::string without_trailing_spaces(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

std::vector<std::string> names_of(std::span<const RollSummary> rolls, int width) {
  std::vector<std::string> names;
  for (const RollSummary& roll : rolls) names.push_back(roll.name);
  return short_names(names, width);
}

int name_width(std::span<const RollSummary> rolls, int most) {
  int longest = 4;
  for (const RollSummary& roll : rolls) {
    longest = std::max(longest, display_width(printable(roll.name)));
  }
  return std::min(longest, most);
}

void write_wide(std::ostream& out, std::span<const RollSummary> rolls, int width, const Ink& ink) {
  const int name = name_width(rolls, std::max(12, width - 89));
  out << ink.faint << fit("roll", name)
      << " frames under over unsure  none  median  meter's bias          warn  worst frame"
      << ink.end << '\n';
  const std::vector<std::string> names = names_of(rolls, name);
  for (std::size_t i = 0; i < rolls.size(); ++i) {
    const RollSummary& roll = rolls[i];
    std::string line = fit(names[i], name) + " ";
    if (!roll.failure.empty()) {
      out << without_trailing_spaces(std::move(line)) << '\n'
          << wrap(printable(roll.failure), width, 2);
      continue;
    }
    line += counts(roll) + "  ";
    line += fmt::format("{:>6}  ", roll.median_exposure ? signed_stops(*roll.median_exposure) : "");
    line += fit(bias(roll), 20) + fmt::format("  {:>4}  ", roll.warnings);
    line += fit(worst(roll), width - display_width(line));
    out << without_trailing_spaces(line) << '\n';
    if (!roll.trouble.empty()) out << wrap(printable(roll.trouble), width, 2);
  }
}

void write_narrow(std::ostream& out, std::span<const RollSummary> rolls, int width) {
  const std::vector<std::string> names = names_of(rolls, width);
  for (std::size_t i = 0; i < rolls.size(); ++i) {
    const RollSummary& roll = rolls[i];
    out << names[i] << '\n';
    if (!roll.failure.empty()) {
      out << wrap(printable(roll.failure), width, 2);
      continue;
    }
    std::string text =
        fmt::format("{} frames, {} under, {} over, {} unsure, {} not measured;", roll.frames,
                    roll.under, roll.over, roll.unsure, roll.not_measured);
    if (roll.median_exposure) text += " median " + signed_stops(*roll.median_exposure) + ";";
    text += " bias " + bias(roll) + fmt::format("; {} warnings", roll.warnings);
    if (!roll.worst_frame.empty()) text += "; worst " + worst(roll);
    out << wrap(printable(text), width, 2);
    if (!roll.trouble.empty()) out << wrap(printable(roll.trouble), width, 2);
  }
}

}  // namespace

void write_rolls_table(std::ostream& out, std::span<const RollSummary> rolls,
                       const TerminalStyle& style) {
  const int width = std::clamp(style.columns, kLeastColumns, kMostColumns);
  const Ink ink(style.colour);
  if (width >= kOneLine) {
    write_wide(out, rolls, width, ink);
  } else {
    write_narrow(out, rolls, width);
  }
  out << '\n'
      << ink.faint
      << wrap(
             "What needs attention most stands first: stops by which pictures missed a good "
             "exposure, a frame. Median: what the film got, from the aim; + is more exposure.",
             width, 0)
      << ink.end;
}

}  // namespace basefog::report

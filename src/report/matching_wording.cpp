// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/matching_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace basefog::report {

using matching::ScanWay;

std::string way_text(ScanWay way, std::size_t strip) {
  switch (way) {
    case ScanWay::as_given:
      break;
    case ScanWay::backwards:
      return "The scans run from the last frame to the first.";
    case ScanWay::by_numbers:
      return "The scans lie on the film as their numbers say.";
    case ScanWay::by_dates:
      return "The scans lie on the film as their dates say.";
    case ScanWay::strips_backwards:
      return fmt::format("The scans run backwards within strips of {}.", strip);
    case ScanWay::strips_exchanged:
      return fmt::format("The strips of {} were scanned from the last to the first.", strip);
    case ScanWay::folders_in_turn:
      return "The scans of the folders lie in turn on the film.";
    case ScanWay::folders_exchanged:
      return "The folder named last holds the beginning of the roll.";
  }
  return "";
}

namespace {

std::string witness_text(matching::LogWitness witness) {
  switch (witness) {
    case matching::LogWitness::exposures:
      return "exposures that follow what was asked for";
    case matching::LogWitness::light:
      return "light as its words say";
    case matching::LogWitness::views:
      return "views that repeat where its rows do";
    case matching::LogWitness::dates:
      return "dates";
    case matching::LogWitness::settings:
      return "settings in the scans";
    case matching::LogWitness::series:
      return "views at the exposures that its rows step through";
    case matching::LogWitness::person:
      return "rows fixed by hand";
  }
  return "";
}

}  // namespace

std::string log_test_text(const matching::WholeLogTest& test) {
  if (test.belongs == matching::LogBelongs::no) {
    return "The log seems to be another roll's: its rows fit no better where they are than "
           "anywhere "
           "else on the roll. Nothing is learned from it.";
  }
  if (test.belongs == matching::LogBelongs::unknown && test.alike_anywhere) {
    return "The log's rows are too few, or too much alike, to show that it is this roll's; no "
           "advice on scenes rests on it.";
  }
  if (test.belongs == matching::LogBelongs::unknown) {
    return "Nothing on the roll speaks for this log or against it, so no advice rests on it.";
  }
  std::string text;
  for (const matching::LogWitness witness : test.witnesses) {
    text += (text.empty() ? "" : ", ") + witness_text(witness);
  }
  return text.empty() ? "The log fits the roll as a whole."
                      : "What speaks for the log being this roll's: " + text + ".";
}

std::vector<std::string> matching_texts(const matching::Matching& matching) {
  std::vector<std::string> texts;
  if (matching.log_test) texts.push_back(log_test_text(*matching.log_test));
  const std::string way = way_text(matching.way, matching.strip);
  if (!way.empty()) texts.push_back(way);
  if (matching.way_probability < matching::kDoubtful && matching.frames.size() > 1) {
    texts.push_back(fmt::format("That the scans lie so on the film is only {:.0f} % probable.",
                                100 * matching.way_probability));
  }
  const double offset = matching.number_offset;
  if (matching.direction == matching::FilmDirection::forward && offset != 0) {
    texts.push_back(fmt::format("The numbers in the file names run {:g} {} the log's.",
                                std::abs(offset), offset < 0 ? "ahead of" : "behind"));
  }
  if (matching.numbers && matching.numbers->broken > 0) {
    texts.push_back(fmt::format(
        "{} of {} frames have a row of another number than their file: readings speak against the "
        "numbers, which hold with {:.0f} %.",
        matching.numbers->broken, matching.frames.size(), 100 * matching.numbers->hold));
  }
  for (const auto& [first, second] : matching.scanned_twice) {
    texts.push_back(
        fmt::format("Scans {} and {} seem to be of one frame, so only one of them has its row.",
                    first + 1, second + 1));
  }
  const auto doubtful = std::ranges::count_if(matching.frames, &matching::FrameMatch::doubtful);
  if (doubtful > 0) {
    texts.push_back(fmt::format("{} of {} frames might belong to another row, or to none.",
                                doubtful, matching.frames.size()));
  }
  if (!matching.unmarked_lines.empty()) {
    texts.push_back(fmt::format(
        "The match file names another row in line {}, not marked as fixed: write yes in its column "
        "fixed where you are sure.",
        fmt::join(matching.unmarked_lines, ", ")));
  }
  if (matching.rows_from_scans > 0) {
    texts.push_back(fmt::format(
        "{} of the frames without a row have their settings from the scans' own metadata.",
        matching.rows_from_scans));
  }
  return texts;
}

}  // namespace basefog::report

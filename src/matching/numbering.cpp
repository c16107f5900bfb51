// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>

#include "matching/scan_orders.hpp"

namespace basefog::matching {
namespace {

constexpr long kFarJump = 6;       ///< more missing at once is another way of counting (judgement)
constexpr long kMostLeading = 60;  ///< places before the first; no film has more
/// Numbers count where four fifths of the labels have one, and rise four times as often as they
/// fall: a slip of the pen does not undo them (judgement).
constexpr std::size_t kMostOfFive = 4;
constexpr int kRisesAFall = 4;

/// The numbers of a sequence, rising but for a few, and the step from one to the next.
struct Numbers {
  std::vector<std::optional<double>> values;
  double step = 1;
  bool usable = false;
  bool gaps = false;
  double first = 0;
};

Numbers numbers_of(const std::vector<std::string>& labels) {
  Numbers numbers;
  int rises = 0;
  int falls = 0;
  std::optional<double> before;
  std::size_t known = 0;
  for (const std::string& label : labels) {
    const auto number = number_in(label);
    numbers.values.push_back(number);
    if (!number) continue;
    if (!before) numbers.first = *number - static_cast<double>(numbers.values.size() - 1);
    ++known;
    if (before) {
      ++(*number > *before ? rises : falls);
      if (*number - *before == 0.5) numbers.step = 0.5;
      numbers.gaps |= *number - *before > 1;
    }
    before = number;
  }
  numbers.usable =
      known >= 2 && 5 * known >= kMostOfFive * labels.size() && rises >= kRisesAFall * falls;
  return numbers;
}

/// Numbers counted the other way, for scans counted from the end of the film.
std::vector<std::string> counted_down(const std::vector<std::string>& labels) {
  std::optional<double> lowest;
  std::optional<double> highest;
  for (const std::string& label : labels) {
    const auto number = number_in(label);
    if (!number || *number != std::floor(*number)) continue;
    lowest = std::min(lowest.value_or(*number), *number);
    highest = std::max(highest.value_or(*number), *number);
  }
  std::vector<std::string> turned;
  for (const std::string& label : labels) {
    const auto number = number_in(label);
    const bool whole = number && *number == std::floor(*number);
    turned.push_back(whole ? std::to_string(std::lround(*lowest + *highest - *number)) : "");
  }
  return turned;
}

/// The elements in order, with `leading` empty places before them and one for each number that is
/// left out.
Places with_gaps(const Numbers& numbers, long leading) {
  Places places(static_cast<std::size_t>(std::clamp(leading, 0L, kMostLeading)));
  std::optional<double> before;
  for (std::size_t i = 0; i < numbers.values.size(); ++i) {
    const auto& number = numbers.values[i];
    if (numbers.usable && number && before) {
      const long missing = std::lround((*number - *before) / numbers.step) - 1;
      for (long k = 0; missing <= kFarJump && k < missing; ++k) places.emplace_back();
    }
    places.emplace_back(i);
    if (number) {
      before = number;
    } else if (before) {
      *before += numbers.step;
    }
  }
  return places;
}

/// Numbers that leave none out say nothing of what is missing: their elements were counted.
Numbers counted(Numbers numbers) {
  numbers.usable = false;
  return numbers;
}

/// Numberings with gaps in the rows' numbers alone, or in none.
void add_without_offset(std::vector<Numbering>& list, const Numbers& frames, const Numbers& rows,
                        double prior) {
  Numbering numbering{.frames = with_gaps(frames, 0),
                      .rows = with_gaps(rows, 0),
                      .frames_numbered = frames.usable,
                      .rows_numbered = rows.usable,
                      .prior = prior};
  // The log's count may start after some frames that nobody wrote down.
  const long first = rows.usable ? std::lround(rows.first) - 1 : 0;
  if (first > 0 && first <= kFarJump) {
    numbering.prior = prior / 2;
    Numbering late = numbering;
    late.rows = with_gaps(rows, first);
    list.push_back(std::move(late));
  }
  list.push_back(std::move(numbering));
}

/// Row = file + offset, most often 0; or both began together, whatever they were called.
void add_with_offsets(std::vector<Numbering>& list, const Numbers& frames, const Numbers& rows,
                      int lead_in, double prior) {
  // From -3 to 3: files count the lead-in more often than the log does (judgement).
  constexpr auto kNear = std::to_array<double>({0.06, 0.12, 0.12, 0.5, 0.05, 0.03, 0.02});
  constexpr int kMostOffset = 3;
  constexpr double kTogether = 0.1;  // whatever they were called (all judgement)
  constexpr double kByLeadIn = 0.5;  // where blanks at the beginning are numbered, by their count
  const double step = std::min(frames.step, rows.step);
  const double apart = rows.first - frames.first;
  std::vector<std::pair<double, double>> offsets;  // offset, prior
  for (int k = -kMostOffset; k <= kMostOffset; ++k) {
    const double near = kNear.at(static_cast<std::size_t>(k + kMostOffset));
    offsets.emplace_back(
        k, lead_in == 0 ? near : (1 - kByLeadIn) * near + (k == -lead_in ? kByLeadIn : 0));
  }
  if (lead_in > kMostOffset) offsets.emplace_back(-lead_in, kByLeadIn);
  if (std::abs(apart) > kMostOffset || apart != std::round(apart)) {
    for (int k = -kMostOffset; k <= kMostOffset; ++k) {
      offsets.emplace_back(apart + k, kTogether / (2 * kMostOffset + 1));
    }
  }
  for (const auto& [offset, share] : offsets) {
    const long rows_later = std::lround((apart - offset) / step);
    if (std::abs(rows_later) > kMostLeading) continue;
    list.push_back({.frames = with_gaps(frames, -rows_later),
                    .rows = with_gaps(rows, rows_later),
                    .frames_numbered = true,
                    .rows_numbered = true,
                    .offset = offset,
                    .prior = prior * share});
  }
}

}  // namespace

std::vector<Numbering> possible_numberings(const std::vector<std::string>& frame_labels,
                                           const std::vector<std::string>& row_labels,
                                           int lead_in) {
  Numbers frames = numbers_of(frame_labels);
  const Numbers turned = frames.usable ? Numbers() : numbers_of(counted_down(frame_labels));
  if (turned.usable) frames = turned;
  const Numbers rows = numbers_of(row_labels);
  // Numbers of the frames on the film, or a count of what was scanned and written (judgement).
  // Gaps prove the former; scans numbered against the film were counted.
  constexpr double kProved = 0.995;
  constexpr double kFilesTell = 0.7;
  constexpr double kTurnedFilesTell = 0.1;
  constexpr double kRowsTell = 0.8;  // a log is kept by the camera's counter more often
  const double files_tell = !frames.usable  ? 0
                            : frames.gaps   ? kProved
                            : turned.usable ? kTurnedFilesTell
                                            : kFilesTell;
  const double rows_tell = !rows.usable ? 0 : rows.gaps ? kProved : kRowsTell;
  std::vector<Numbering> list;
  add_with_offsets(list, frames, rows, lead_in, files_tell * rows_tell);
  add_without_offset(list, counted(frames), rows, (1 - files_tell) * rows_tell);
  add_without_offset(list, frames, counted(rows), files_tell * (1 - rows_tell));
  add_without_offset(list, counted(frames), counted(rows), (1 - files_tell) * (1 - rows_tell));
  // A count of scans leaves no number out, so numbers with gaps that run against the film are odd.
  constexpr double kOdd = 0.1;  // one in ten such rolls (judgement)
  for (Numbering& numbering : list) numbering.prior *= turned.usable && turned.gaps ? kOdd : 1;
  std::erase_if(list, [](const Numbering& numbering) { return numbering.prior <= 0; });
  return list;
}

}  // namespace basefog::matching

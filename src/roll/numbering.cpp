// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>

#include "roll/scan_orders.hpp"

namespace basefog {
namespace {

constexpr long kFarJump = 6;  ///< more missing at once is another way of counting
constexpr long kMostLeading = 60;

/// The numbers of a sequence, rising but for a few, and the step from one to the next.
struct Numbers {
  std::vector<std::optional<double>> values;
  double step = 1;
  bool usable = false;
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
    }
    before = number;
  }
  numbers.usable = known >= 2 && 5 * known >= 4 * labels.size() && rises >= 4 * falls;
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

}  // namespace

std::vector<Numbering> possible_numberings(const std::vector<std::string>& frame_labels,
                                           const std::vector<std::string>& row_labels,
                                           bool labels_count_down) {
  const Numbers frames = numbers_of(labels_count_down ? counted_down(frame_labels) : frame_labels);
  const Numbers rows = numbers_of(row_labels);
  const Numbering plain{.frames = with_gaps(frames, 0),
                        .rows = with_gaps(rows, 0),
                        .frames_numbered = frames.usable,
                        .rows_numbered = rows.usable};
  if (!frames.usable || !rows.usable) {
    if (!rows.usable) return {plain};
    // The log's count may start after some frames that nobody wrote down.
    Numbering late = plain;
    const long first = std::lround(rows.first) - 1;
    if (first <= 0 || first > kFarJump) return {plain};
    late.rows = with_gaps(rows, first);
    late.prior = 0.5;
    Numbering early = plain;
    early.prior = 0.5;
    return {late, early};
  }
  // Row = file + offset, most often 0; or both began together, whatever they were called.
  constexpr int kMostOffset = 3;  // lead-in frames that were scanned and numbered, or were not
  constexpr double kSame = 0.65;
  constexpr double kTogether = 0.1;
  const double step = std::min(frames.step, rows.step);
  const double apart = rows.first - frames.first;
  std::vector<std::pair<double, double>> offsets;  // offset, prior
  for (int k = -kMostOffset; k <= kMostOffset; ++k) {
    const double near = (1 - kSame - kTogether) / (2 * kMostOffset);
    offsets.emplace_back(k, k == 0 ? kSame : near);
  }
  if (std::abs(apart) > kMostOffset || apart != std::round(apart)) {
    for (int k = -kMostOffset; k <= kMostOffset; ++k) {
      offsets.emplace_back(apart + k, kTogether / (2 * kMostOffset + 1));
    }
  }
  std::vector<Numbering> numberings;
  for (const auto& [offset, prior] : offsets) {
    const long rows_later = std::lround((apart - offset) / step);
    if (std::abs(rows_later) > kMostLeading) continue;
    Numbering numbering = plain;
    numbering.frames = with_gaps(frames, -rows_later);
    numbering.rows = with_gaps(rows, rows_later);
    numbering.offset = offset;
    numbering.prior = prior;
    numberings.push_back(std::move(numbering));
  }
  return numberings;
}

}  // namespace basefog

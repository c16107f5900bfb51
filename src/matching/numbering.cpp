// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>

#include "matching/film_length.hpp"
#include "matching/scan_orders.hpp"

namespace basefog::matching {
namespace {

// What numbers mean. Of files and of rows they are the frames' on the film, or a count of what was
// scanned or written. All priors here are judgement; matching_study shows what they do.
constexpr long kFarJump = 6;        ///< more rows missing at once is another way of counting
constexpr long kMostLeading = 60;   ///< places before the first; no film has more
constexpr std::size_t kFew = 4;     ///< pictures that a roll usually loses
constexpr std::size_t kWhole = 12;  ///< files of a whole film, at least; fewer are a part of it

/// The numbers of a sequence. Those that rise hold; a slip of the pen, a number twice and an
/// element without one lie after the element before them.
struct Numbers {
  std::vector<std::optional<double>> values;
  std::vector<bool> pictures;
  double step = 1;
  bool usable = false;
  bool gaps = false;
  double first = 0;  ///< that the first element has, or would have
  double last = 0;   ///< the greatest

  bool whole_from_start() const { return usable && !gaps && first <= 1; }
};

/// Keeps the longest run of numbers that rises, the others are let go of.
void keep_rising(std::vector<std::optional<double>>& values) {
  const std::size_t n = values.size();
  std::vector<int> length(n, 0);
  std::vector<std::size_t> before(n, n);
  std::size_t end = n;
  for (std::size_t i = 0; i < n; ++i) {
    if (!values[i]) continue;
    length[i] = 1;
    for (std::size_t k = 0; k < i; ++k) {
      if (values[k] && *values[k] < *values[i] && length[k] + 1 > length[i]) {
        length[i] = length[k] + 1;
        before[i] = k;
      }
    }
    if (end == n || length[i] > length[end]) end = i;
  }
  std::vector<bool> kept(n, false);
  for (std::size_t i = end; i < n; i = before[i]) kept[i] = true;
  for (std::size_t i = 0; i < n; ++i) {
    if (!kept[i]) values[i].reset();
  }
}

/// An element without a number of its own has the next one, where that is free.
void fill_in(Numbers& numbers) {
  auto& values = numbers.values;
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (values[i] || !values[i - 1]) continue;
    const double next = *values[i - 1] + numbers.step;
    const auto after = std::find_if(values.begin() + static_cast<std::ptrdiff_t>(i), values.end(),
                                    [](const auto& value) { return value.has_value(); });
    if (after == values.end() || next < **after) values[i] = next;
  }
}

Numbers numbers_of(const std::vector<Numbered>& elements) {
  // Numbers count where four fifths have one, and of those four fifths rise.
  constexpr std::size_t kMostOfFive = 4;
  Numbers numbers;
  std::size_t known = 0;
  for (const Numbered& element : elements) {
    numbers.values.push_back(number_in(element.label));
    numbers.pictures.push_back(element.picture);
    known += numbers.values.back() ? 1 : 0;
  }
  keep_rising(numbers.values);
  std::size_t rising = 0;
  for (std::size_t i = 0; i < numbers.values.size(); ++i) {
    const auto& number = numbers.values[i];
    if (!number) continue;
    if (rising == 0) numbers.first = *number - static_cast<double>(i);
    if (rising > 0 && *number - numbers.last == 0.5) numbers.step = 0.5;
    ++rising;
    numbers.last = *number;
  }
  numbers.usable = rising >= 1 && 5 * known >= kMostOfFive * elements.size() &&
                   5 * rising >= kMostOfFive * known;
  if (!numbers.usable) return numbers;
  fill_in(numbers);
  double before = numbers.first;
  for (const auto& number : numbers.values) {
    if (!number) continue;
    numbers.gaps |= *number - before > 1;
    before = *number;
  }
  return numbers;
}

/// Numbers counted the other way, for scans counted from the end of the film.
std::vector<Numbered> counted_down(std::vector<Numbered> elements) {
  std::optional<double> lowest;
  std::optional<double> highest;
  for (const Numbered& element : elements) {
    const auto number = number_in(element.label);
    if (!number || *number != std::floor(*number)) continue;
    lowest = std::min(lowest.value_or(*number), *number);
    highest = std::max(highest.value_or(*number), *number);
  }
  for (Numbered& element : elements) {
    const auto number = number_in(element.label);
    const bool whole = number && *number == std::floor(*number);
    element.label = whole ? std::to_string(std::lround(*lowest + *highest - *number)) : "";
  }
  return elements;
}

/// The elements in order, with `leading` empty places before them and one for each number that is
/// left out; gaps of more than `widest` open none.
Places with_gaps(const Numbers& numbers, long leading, long widest) {
  Places places(static_cast<std::size_t>(std::clamp(leading, 0L, kMostLeading)));
  std::optional<double> before;
  for (std::size_t i = 0; i < numbers.values.size(); ++i) {
    const auto& number = numbers.values[i];
    if (numbers.usable && number && before) {
      const long missing = std::lround((*number - *before) / numbers.step) - 1;
      for (long k = 0; missing <= widest && k < missing; ++k) places.emplace_back();
    }
    places.emplace_back(i);
    if (number) before = number;
  }
  return places;
}

/// Numbers that leave none out say nothing of what is missing: their elements were counted.
Numbers counted(Numbers numbers) {
  numbers.usable = false;
  return numbers;
}

/// Numberings where one side's numbers hold, or neither's.
void add_one_sided(std::vector<Numbering>& list, const Numbers& frames, const Numbers& rows,
                   double prior) {
  const auto add = [&](long frames_leading, long rows_leading, double share) {
    Places frame_places = with_gaps(frames, frames_leading, kMostLeading);
    Places row_places = with_gaps(rows, rows_leading, kFarJump);
    // Rows beyond the last file's number were not scanned; many frames beyond the last row's number
    // were not written down.
    const std::size_t all = std::max(frame_places.size(), row_places.size());
    if (frames.usable) frame_places.resize(all);
    if (rows.usable && all > row_places.size() + kFew) row_places.resize(all);
    list.push_back({.frames = std::move(frame_places),
                    .rows = std::move(row_places),
                    .frames_numbered = frames.usable,
                    .rows_numbered = rows.usable,
                    .prior = prior * share});
  };
  // The count may start after some pictures that nobody wrote down, or scanned.
  const auto late = [](const Numbers& numbers, long most) {
    const long first = numbers.usable ? std::lround(numbers.first) - 1 : 0;
    return first > 0 && first <= most ? first : 0;
  };
  constexpr double kRowsLate = 0.5;    // a log's count that begins late: as likely as not
  constexpr double kFilesLate = 0.95;  // keepers
  const long rows_late = late(rows, kFarJump);
  const long frames_late = late(frames, kMostLeading);
  const double by_rows = rows_late > 0 ? kRowsLate : 0;
  const double by_files = frames_late > 0 ? kFilesLate : 0;
  if (by_rows > 0) add(0, rows_late, by_rows);
  if (by_files > 0) add(frames_late, 0, by_files);
  add(0, 0, 1 - std::max(by_rows, by_files));
}

/// Both sides' places, number by number where row = file + offset; numbers that neither has are
/// left out. What has no number has a place on its own side alone.
Numbering laid_by_number(const Numbers& frames, const Numbers& rows, double offset) {
  Numbering numbering{.frames = {}, .rows = {}, .frames_numbered = true, .rows_numbered = true};
  std::size_t i = 0;
  std::size_t j = 0;
  while (i < frames.values.size() || j < rows.values.size()) {
    const bool frame = i < frames.values.size();
    const bool row = j < rows.values.size();
    if (frame && !frames.values[i]) {
      numbering.frames.emplace_back(i++);
      continue;
    }
    if (row && !rows.values[j]) {
      numbering.rows.emplace_back(j++);
      continue;
    }
    const double apart = frame && row ? *frames.values[i] + offset - *rows.values[j]
                         : frame      ? -1
                                      : 1;
    numbering.frames.push_back(apart <= 0 ? std::optional(i++) : std::nullopt);
    numbering.rows.push_back(apart >= 0 ? std::optional(j++) : std::nullopt);
  }
  return numbering;
}

/// ln of how probable it is that just those places lack their row, and just those their scan.
double log_share_of_gaps(const Numbering& laid, const Numbers& frames, const Numbers& rows) {
  int rows_missing = 0;
  int scans_missing = 0;
  const std::size_t places = std::min(laid.frames.size(), laid.rows.size());
  for (std::size_t k = 0; k < places; ++k) {
    const auto& frame = laid.frames[k];
    const auto& row = laid.rows[k];
    rows_missing += frame && frames.pictures[*frame] && !row ? 1 : 0;
    scans_missing += row && rows.pictures[*row] && !frame ? 1 : 0;
    // A blank has no row of its own, and a row with a picture no blank frame.
    rows_missing += frame && !frames.pictures[*frame] && row && rows.pictures[*row] ? 1 : 0;
  }
  const auto ways = [&](int missing) {
    const auto n = static_cast<double>(std::max<std::size_t>(places, 1));
    return std::lgamma(n + 1) - std::lgamma(missing + 1.0) - std::lgamma(n - missing + 1);
  };
  return std::log(share_of_losses(rows_missing, scans_missing)) - ways(rows_missing) -
         ways(scans_missing);
}

/// Row = file + offset, most often 0; or both began together, whatever they were called.
void add_with_offsets(std::vector<Numbering>& list, const Numbers& frames, const Numbers& rows,
                      double prior) {
  // From -3 to 3, of rolls whose gaps fit either: files count the lead-in more often than logs do.
  // Of a few keepers nothing but readings could show it, and those do not outweigh what is written.
  constexpr auto kNear = std::to_array<double>({1e-3, 3e-3, 1e-2, 0.98, 2e-3, 5e-4, 3e-4});
  constexpr auto kOfKeepers = std::to_array<double>({3e-4, 5e-4, 1e-3, 0.996, 1e-3, 5e-4, 3e-4});
  constexpr int kMostOffset = 3;
  constexpr double kTogether = 1e-3;  // of each other one
  constexpr double kSameEnds = 0.05;  // of one under which both begin and end together
  const bool whole = frames.values.size() >= kWhole;
  std::vector<std::pair<double, double>> offsets;  // offset, how usual
  for (int k = -kMostOffset; k <= kMostOffset; ++k) {
    offsets.emplace_back(
        k, (whole ? kNear : kOfKeepers).at(static_cast<std::size_t>(k + kMostOffset)));
  }
  const auto add = [&](double offset) {
    const bool known =
        std::ranges::any_of(offsets, [&](const auto& other) { return other.first == offset; });
    if (!known && offset == std::round(offset)) offsets.emplace_back(offset, kTogether);
  };
  for (int k = -kMostOffset; k <= kMostOffset; ++k) {
    add(rows.first - frames.first + k);
    add(rows.last - frames.last + k);
  }
  const double at_first = rows.first - frames.first;
  const bool same_ends = at_first == rows.last - frames.last && whole;
  std::vector<double> logs;
  std::vector<Numbering> laid;
  for (auto& [offset, usual] : offsets) {
    if (same_ends && offset == at_first) usual = std::max(usual, kSameEnds);
    laid.push_back(laid_by_number(frames, rows, offset));
    logs.push_back(std::log(usual) + log_share_of_gaps(laid.back(), frames, rows));
  }
  const double most = *std::ranges::max_element(logs);
  double sum = 0;
  for (const double log : logs) sum += std::exp(log - most);
  constexpr double kLeast = 1e-6;
  for (std::size_t k = 0; k < laid.size(); ++k) {
    const double share = std::exp(logs[k] - most) / sum;
    if (share < kLeast) continue;
    laid[k].prior = prior * share;
    list.push_back(std::move(laid[k]));
  }
}

/// How probable it is that files carry the frames' numbers on the film. Gaps prove it; scans that
/// are numbered against the film were counted; so were those that start at 1 and leave none out
/// while the log's numbers do not agree.
double files_hold(const Numbers& files, const Numbers& rows, bool turned) {
  constexpr double kProved = 0.99999;
  constexpr double kTurned = 0.1;
  constexpr double kPart = 0.98;    // a strip or one frame of the film
  constexpr double kLate = 0.998;   // a count would have begun at 1
  constexpr double kCounter = 0.3;  // of the camera that copied the film
  constexpr double kFromStart = 0.7;
  constexpr double kAgree = 0.999;
  constexpr double kFewMissing = 0.3;
  constexpr double kFirstOnes = 0.95;
  constexpr double kMostFrames = 80;  // that a film has
  if (!files.usable) return 0;
  if (files.gaps) return kProved;
  if (turned) return kTurned;
  if (files.values.size() == 1 && files.last <= kMostFrames) return kPart;
  if (!files.whole_from_start()) {
    if (files.last > kMostFrames) return kCounter;
    return files.first <= static_cast<double>(kFew) ? kLate : kPart;
  }
  if (!rows.usable) return kFromStart;
  if (files.last == rows.last) return kAgree;
  // Of a whole film a few were lost and the rest counted; a few scans are its first.
  if (std::abs(files.last - rows.last) > static_cast<double>(kFew)) return kFromStart;
  return files.values.size() >= kWhole ? kFewMissing : kFirstOnes;
}

/// How probable it is that the log counts pictures: by the camera's counter, or later and whole.
double rows_hold(const Numbers& files, const Numbers& rows) {
  constexpr double kProved = 0.99999;
  constexpr double kByCounter = 0.8;  // more often than not
  constexpr double kCoverAll = 0.97;  // rows for all files' numbers
  constexpr double kTooFew = 0.5;
  if (!rows.usable) return 0;
  if (rows.gaps) return kProved;
  if (!files.usable) return kByCounter;
  return rows.last >= files.last ? kCoverAll : kTooFew;
}

}  // namespace

std::vector<Numbering> possible_numberings(const std::vector<Numbered>& frames,
                                           const std::vector<Numbered>& rows) {
  constexpr double kOdd = 0.1;  // a count of scans has no gaps: such numbers against the film
  Numbers of_files = numbers_of(frames);
  const Numbers turned = of_files.usable ? Numbers() : numbers_of(counted_down(frames));
  if (turned.usable) of_files = turned;
  const Numbers of_rows = numbers_of(rows);
  const double files = files_hold(of_files, of_rows, turned.usable);
  const double logged = rows_hold(of_files, of_rows);
  std::vector<Numbering> list;
  if (files > 0 && logged > 0) add_with_offsets(list, of_files, of_rows, files * logged);
  add_one_sided(list, counted(of_files), of_rows, (1 - files) * logged);
  add_one_sided(list, of_files, counted(of_rows), files * (1 - logged));
  add_one_sided(list, counted(of_files), counted(of_rows), (1 - files) * (1 - logged));
  for (Numbering& numbering : list) numbering.prior *= turned.usable && turned.gaps ? kOdd : 1;
  std::erase_if(list, [](const Numbering& numbering) { return numbering.prior <= 0; });
  return list;
}

}  // namespace basefog::matching

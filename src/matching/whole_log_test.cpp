// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/whole_log_test.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/name_list.hpp"
#include "matching/pairing_model.hpp"
#include "numeric/alignment.hpp"

namespace basefog::matching {
namespace {

constexpr std::size_t kMoved = 18;
constexpr std::size_t kLeastRows = 6;  ///< of fewer, moved logs are too much alike
constexpr double kLeastSpread = 0.7;   ///< ln of likelihood: less is nothing
constexpr double kBelongs = 3.3;       ///< gain in spreads
constexpr double kForeign = 0.5;       ///< likewise, at most
constexpr double kCouldTell = 3;       ///< spread from which on a true log would have shown

double log_likelihood(std::span<const MatchFrame> frames, const std::vector<log::LogRow>& rows,
                      const MatchEvidence& evidence, const Hypothesis& best) {
  const PairingModel model(frames, rows, evidence);
  return numeric::Alignments(model.problem_for(best)).log_likelihood();
}

std::vector<std::size_t> shifts_of(std::size_t rows) {
  std::vector<std::size_t> shifts;
  const std::size_t last = rows - 2;
  const std::size_t step = 1 + (last - 2) / kMoved;
  for (std::size_t shift = 2; shift <= last; shift += step) shifts.push_back(shift);
  return shifts;
}

/// True where the person fixed the rows of half of the frames and more.
bool is_the_persons(std::span<const MatchFrame> frames) {
  const auto fixed = std::ranges::count_if(
      frames, [](const MatchFrame& frame) { return frame.fixed && frame.fixed_row; });
  return fixed > 0 && 2 * fixed >= std::ssize(frames);
}

/// What each kind of evidence says of the pairs found, by LogWitness, with the log moved by
/// `shift`.
std::array<double, 5> said_of_pairs(const MatchEvidence& evidence, const Matching& matching,
                                    std::size_t rows, std::size_t shift) {
  std::array<double, 5> said{};
  std::optional<std::size_t> before;
  for (const std::size_t frame : matching.film_order) {
    if (!matching.frames[frame].row) continue;
    const std::size_t row = (*matching.frames[frame].row + shift) % rows;
    const MatchEvidence::Said of_pair = evidence.of_pair(frame, row);
    said[0] += of_pair.exposure;
    said[1] += of_pair.light;
    said[3] += of_pair.date;
    said[4] += of_pair.settings;
    if (before) {
      const std::size_t row_before = (*matching.frames[*before].row + shift) % rows;
      const auto apart = row > row_before ? row - row_before : rows;
      constexpr std::size_t kReach = numeric::AlignmentProblem::kReach;
      if (apart <= kReach) {
        said[2] += evidence.follow(*before, frame, row_before, row, static_cast<int>(apart));
      }
    }
    before = frame;
  }
  return said;
}

/// The kinds of evidence that fit the log in its places better than moved, most first.
std::vector<LogWitness> witnesses_for(const MatchEvidence& evidence, const Matching& matching,
                                      std::size_t rows) {
  constexpr double kWorthNaming = 1.5;  // ln of likelihood
  std::array<double, 5> gains = said_of_pairs(evidence, matching, rows, 0);
  const std::vector<std::size_t> shifts = shifts_of(rows);
  for (const std::size_t shift : shifts) {
    const std::array<double, 5> moved = said_of_pairs(evidence, matching, rows, shift);
    for (std::size_t kind = 0; kind < gains.size(); ++kind) {
      gains[kind] -= moved[kind] / static_cast<double>(shifts.size());
    }
  }
  std::vector<LogWitness> witnesses;
  for (std::size_t kind = 0; kind < gains.size(); ++kind) {
    if (gains[kind] >= kWorthNaming) witnesses.push_back(static_cast<LogWitness>(kind));
  }
  std::ranges::stable_sort(witnesses, [&](LogWitness a, LogWitness b) {
    return gains[static_cast<std::size_t>(a)] > gains[static_cast<std::size_t>(b)];
  });
  return witnesses;
}

}  // namespace

std::string_view name_of(LogBelongs belongs) {
  return name_in(std::to_array<std::string_view>({"yes", "unknown", "no"}), belongs);
}

WholeLogTest test_whole_log(std::span<const MatchFrame> frames,
                            const std::vector<log::LogRow>& rows, const MatchEvidence& evidence,
                            const Hypothesis& best, double order_odds, const Matching& matching) {
  WholeLogTest test;
  if (is_the_persons(frames)) {
    test.belongs = LogBelongs::yes;
    test.witnesses = {LogWitness::person};
    return test;
  }
  if (rows.size() < kLeastRows) return test;
  const double here =
      log_likelihood(frames, rows, evidence.with_moved(rows, 0), best) + std::log(order_odds);
  std::vector<double> moved;
  for (const std::size_t shift : shifts_of(rows.size())) {
    std::vector<log::LogRow> others = rows;
    std::rotate(others.begin(), others.begin() + static_cast<std::ptrdiff_t>(shift), others.end());
    moved.push_back(log_likelihood(frames, others, evidence.with_moved(others, shift), best));
  }
  double mean = 0;
  for (const double one : moved) mean += one / static_cast<double>(moved.size());
  double squares = 0;
  for (const double one : moved) squares += (one - mean) * (one - mean);
  test.gain = here - mean;
  test.spread = std::sqrt(squares / static_cast<double>(moved.size()));
  test.alike_anywhere = test.spread < kLeastSpread;
  const double in_spreads = test.gain / std::max(kLeastSpread, test.spread);
  if (in_spreads >= kBelongs && here > *std::ranges::max_element(moved)) {
    test.belongs = LogBelongs::yes;
    test.witnesses = witnesses_for(evidence, matching, rows.size());
  } else if (in_spreads < kForeign && test.spread >= kCouldTell) {
    test.belongs = LogBelongs::no;
  }
  return test;
}

}  // namespace basefog::matching

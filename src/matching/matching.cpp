// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/matching/matching.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "core/name_list.hpp"
#include "matching/match_evidence.hpp"
#include "matching/match_hypothesis.hpp"
#include "matching/pairing_model.hpp"
#include "matching/scan_orders.hpp"
#include "matching/whole_log_test.hpp"
#include "numeric/alignment.hpp"

namespace basefog::matching {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// Probabilities without a source are judgement; tests/validation/matching_study.cpp shows what they
// do.
constexpr double kNeverMind = 1e-5;  ///< a hypothesis less probable than this is dropped
/// An order whose likeliest film length is so much less probable, in ln, is not tried with others;
/// the right length makes up for some six a frame and row lost.
constexpr double kHopeless = 35;
constexpr int kRounds = 4;  ///< of weighing and learning; a few settle both

// Which row of the log belongs to which frame.
//
// Formula. A hypothesis h is one order of the scans on the film (possible_orders), one meaning of
// the numbers on both sides (possible_numberings) and, unless both sides are numbered, one number
// of pictures N that the film held (possible_lengths). Under each, all alignments of frames and
// rows are summed (numeric/alignment.hpp):
//
//   P(h, alignment) ~ prior(h) x product of the likelihoods of pairs, frames alone, rows alone
//   prior(h) = P(order) P(numbering) P(N) / (binomial(N, k) q^k), the last for each side that is
//              not numbered: k its missing elements, q = k / N (0.0005 at least) the chance of each
//
// The division makes up for the alignments: about binomial(N, k) of them leave k alone, each with
// q^k. Where both sides are numbered, places go number by number, and the numbering's prior weighs
// the gaps that its offset leaves (numbering.cpp). Likelihoods are in match_evidence.hpp (pairs and
// neighbours) and pairing_model.hpp (alone). Then
//
//   P(frame i has row j) = sum over h of P(h) posterior_h(i, j)
//
// What the roll has in common, the offset of its exposures from what was asked and each marked
// speed's, is not known before the pairs are. Four rounds: weigh, then take the weighted medians
// from the probable pairs (MatchEvidence::learn), as expectation and maximisation would; then weigh
// once more. Hypotheses under 1e-5 are dropped on the way, and orders that are hopeless with their
// likeliest length. The answer is the alignment of most
// expected right frames (numeric::best_alignment) in the most probable order. Whether the log is of
// this roll at all is asked last (whole_log_test.hpp).
//
// Assumes. Frames and rows are in the film's order, but for one way of scanning a roll; each row is
// of one frame; what speaks for a pair is independent of what speaks for others but for neighbours
// that show one view.
//
// Costs. A round has one alignment of n m cells for each order, numbering and length (5 at most),
// forward alone where it turns out to be dropped; few are left after the first round.
//
// Accurate. matching_study (tests/validation, STUDIES.md) has how many frames of simulated rolls
// are found on their row, how often a pair called so probable is right, and the best that any
// method can do. Matching.* hold single cases.
//
// Fails. A pair under 90 % is doubtful; all that it may be is listed, and the bias is summed over
// it. Frames that all got the same, without numbers, words or repeated views, leave a forgotten
// row's place open (Matching.calls_doubtful_what_nothing_can_decide).
//
// Source. Pair hidden Markov model [Durbin1998, ch. 4]; priors are judgement, held to
// matching_study.
/// The frames with those fixed pairs set aside that cross others, as where a person exchanged two
/// rows: they hold, but say nothing of the order. Pairs that all fall, three and more, say that the
/// roll was scanned backwards.
std::vector<MatchFrame> without_crossing_pairs(std::span<const MatchFrame> frames) {
  std::vector<MatchFrame> aligned(frames.begin(), frames.end());
  std::vector<std::size_t> fixed;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].fixed && frames[i].fixed_row) fixed.push_back(i);
  }
  const auto row = [&](std::size_t i) { return *frames[i].fixed_row; };
  constexpr std::size_t kBackwards = 3;
  if (fixed.size() >= kBackwards && std::ranges::is_sorted(fixed, std::ranges::greater(), row)) {
    return aligned;
  }
  for (const std::size_t i : fixed) {
    const bool crosses = std::ranges::any_of(
        fixed, [&](std::size_t k) { return k != i && (k < i) != (row(k) < row(i)); });
    if (crosses) aligned[i].fixed_row.reset();
  }
  return aligned;
}

class Matcher {
 public:
  Matcher(std::span<const MatchFrame> frames, const log::ShotLog& log,
          const film::FilmProfile& film)
      : given_(frames),
        aligned_(without_crossing_pairs(frames)),
        frames_(aligned_),
        rows_(log.rows),
        evidence_(frames_, log.rows, film),
        orders_(possible_orders(frames)) {
    std::vector<Numbered> numbered_rows;
    for (const log::LogRow& row : rows_) numbered_rows.push_back({row.frame, !row.no_picture});
    for (const ScanOrder& order : orders_) {
      std::vector<Numbered> numbered_frames;
      for (const std::size_t frame : order.frames) {
        numbered_frames.push_back({frames_[frame].label, !frames_[frame].blank});
      }
      for (const Numbering& numbering : possible_numberings(numbered_frames, numbered_rows)) {
        add_hypotheses(order, numbering);
      }
    }
  }

  Matching match() {
    // What the roll has in common is learned from the pairs, and the pairs from it; a few rounds
    // settle both.
    for (int round = 0; round < kRounds; ++round) {
      weigh();
      evidence_.learn(posterior_);
    }
    weigh();
    return result();
  }

 private:
  /// Where both are numbered every loss shows, else the film's length bounds what was lost.
  void add_hypotheses(const ScanOrder& order, const Numbering& numbering) {
    if (numbering.both_numbered()) {
      both_numbered_ = true;
      hypotheses_.push_back({&order, numbering, std::nullopt, ++families_});
      return;
    }
    const auto scans = std::ranges::count_if(numbering.frames, [&](const auto& place) {
      return !place || !frames_[order.frames[*place]].blank;
    });
    const auto rows = std::ranges::count_if(
        numbering.rows, [&](const auto& row) { return !row || !rows_[*row].no_picture; });
    ++families_;
    for (const FilmLength& length :
         possible_lengths(static_cast<int>(scans), static_cast<int>(rows))) {
      hypotheses_.push_back({&order, numbering, length, families_});
    }
  }

  /// Sums over all alignments of all hypotheses; posterior_ is by frame as given and row.
  void weigh() {
    const PairingModel model(frames_, rows_, evidence_);
    posterior_ = MatrixXd::Zero(count(frames_), count(rows_));
    double most = -1e300;
    double total = 0;
    int family = 0;
    bool hopeless = false;
    std::optional<numeric::Alignments> alignments;
    for (Hypothesis& hypothesis : hypotheses_) {
      const bool first = std::exchange(family, hypothesis.family) != hypothesis.family;
      hypothesis.weight = -std::numeric_limits<double>::infinity();
      if (hopeless && !first) continue;
      if (first) {
        alignments.emplace(model.problem_for(hypothesis));
      } else {
        const Skips skips = model.skips_of(hypothesis);
        alignments->set_skips(skips.first, skips.second);
      }
      hypothesis.weight = alignments->log_likelihood() + hypothesis.log_prior();
      hopeless = first && hypothesis.weight < most - kHopeless;
      if (hypothesis.weight < most + std::log(kNeverMind)) continue;
      if (hypothesis.weight > most) {  // the sums so far are against a lesser one
        posterior_ *= std::exp(most - hypothesis.weight);
        total *= std::exp(most - hypothesis.weight);
        most = hypothesis.weight;
      }
      const double share = std::exp(hypothesis.weight - most);
      posterior_ += share * by_frame_and_row(hypothesis, alignments->sum().posterior);
      total += share;
    }
    posterior_ /= total;
    drop_the_improbable(most, total);
    for (std::size_t i = 0; i < given_.size(); ++i) {  // a row that was set aside is taken
      if (given_[i].fixed_row != frames_[i].fixed_row) {
        posterior_.col(static_cast<Index>(*given_[i].fixed_row)).setZero();
      }
    }
  }

  /// Turns weights from logarithms into shares of one.
  void drop_the_improbable(double most, double total) {
    for (Hypothesis& hypothesis : hypotheses_) {
      hypothesis.weight = std::exp(hypothesis.weight - most) / total;
    }
    std::erase_if(hypotheses_, [](const Hypothesis& h) { return h.weight < kNeverMind; });
  }

  MatrixXd by_frame_and_row(const Hypothesis& hypothesis, const MatrixXd& by_place) const {
    MatrixXd posterior = MatrixXd::Zero(count(frames_), count(rows_));
    const Numbering& numbering = hypothesis.numbering;
    for (std::size_t i = 0; i < numbering.frames.size(); ++i) {
      for (std::size_t j = 0; numbering.frames[i] && j < numbering.rows.size(); ++j) {
        if (!numbering.rows[j]) continue;
        const std::size_t frame = hypothesis.order->frames[*numbering.frames[i]];
        posterior(static_cast<Index>(frame), static_cast<Index>(*numbering.rows[j])) =
            by_place(static_cast<Index>(i), static_cast<Index>(j));
      }
    }
    return posterior;
  }

  /// What most of the paired rows' numbers are above their files'; 0 where no difference is usual.
  double usual_offset(const Matching& matching) const {
    std::map<double, int> pairs;
    int all = 0;
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      const auto& row = matching.frames[i].row;
      const auto file = number_in(frames_[i].label);
      const auto logged = row ? number_in(rows_[*row].frame) : std::nullopt;
      if (!file || !logged) continue;
      ++pairs[*logged - *file];
      ++all;
    }
    for (const auto& [offset, count] : pairs) {
      if (2 * count > all) return offset;
    }
    return 0;
  }

  StatedNumbers stated_numbers(const Matching& matching) const {
    StatedNumbers stated;
    for (const Hypothesis& h : hypotheses_)
      stated.hold += h.numbering.both_numbered() ? h.weight : 0;
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      const auto& row = matching.frames[i].row;
      const auto file = number_in(frames_[i].label);
      const auto logged = row ? number_in(rows_[*row].frame) : std::nullopt;
      stated.broken += file && logged && *logged - *file != matching.number_offset ? 1 : 0;
    }
    return stated;
  }

  double weight_of(const ScanOrder& order) const {
    double weight = 0;
    for (const Hypothesis& h : hypotheses_) weight += h.order == &order ? h.weight : 0;
    return weight;
  }

  const ScanOrder& best_order() const {
    return *std::max_element(orders_.begin(), orders_.end(), [this](const auto& a, const auto& b) {
      return weight_of(a) < weight_of(b);
    });
  }

  Matching result() const {
    const ScanOrder& order = best_order();
    Matching matching{.direction = order.direction,
                      .confidence = 1,
                      .film_order = order.frames,
                      .way = order.way,
                      .strip = order.strip};
    MatrixXd on_film(count(frames_), count(rows_));
    for (std::size_t place = 0; place < order.frames.size(); ++place) {
      on_film.row(static_cast<Index>(place)) =
          posterior_.row(static_cast<Index>(order.frames[place]));
    }
    const auto partners = numeric::best_alignment(on_film);
    matching.frames.resize(frames_.size());
    for (std::size_t place = 0; place < order.frames.size(); ++place) {
      matching.frames[order.frames[place]] = match_of(order.frames[place], partners[place]);
    }
    list_unmatched(matching);
    matching.way_probability = weight_of(order);
    matching.number_offset = usual_offset(matching);
    if (both_numbered_) matching.numbers = stated_numbers(matching);
    matching.scanned_twice = scanned_twice(matching);
    if (!hypotheses_.empty() && !frames_.empty() && !rows_.empty()) {
      const Hypothesis& best = *std::ranges::max_element(hypotheses_, {}, &Hypothesis::weight);
      const double likeliest = std::ranges::max_element(orders_, {}, &ScanOrder::prior)->prior;
      matching.log_test =
          test_whole_log(frames_, rows_, evidence_, best, best.order->prior / likeliest, matching);
    }
    return matching;
  }

  FrameMatch match_of(std::size_t frame, std::optional<std::size_t> partner) const {
    const MatchFrame& given = given_[frame];
    if (given.fixed) {
      return {.row = given.fixed_row,
              .probability = 1,
              .fixed = true,
              .possible = {{given.fixed_row, 1}}};
    }
    const auto probabilities = posterior_.row(static_cast<Index>(frame));
    const double alone = std::max(0.0, 1 - probabilities.sum());
    FrameMatch match{.row = partner,
                     .probability = partner ? probabilities(static_cast<Index>(*partner)) : alone};
    match.doubtful = match.probability < kDoubtful;
    if (alone >= kLeastPossible) match.possible.push_back({std::nullopt, alone});
    for (std::size_t j = 0; j < rows_.size(); ++j) {
      const double p = probabilities(static_cast<Index>(j));
      if (p >= kLeastPossible) match.possible.push_back({j, p});
    }
    std::ranges::stable_sort(match.possible, std::ranges::greater(), &PossibleRow::probability);
    return match;
  }

  void list_unmatched(Matching& matching) const {
    std::vector<bool> row_taken(rows_.size(), false);
    for (std::size_t i = 0; i < matching.frames.size(); ++i) {
      const FrameMatch& match = matching.frames[i];
      matching.confidence = std::min(matching.confidence, match.probability);
      if (match.row) {
        row_taken[*match.row] = true;
      } else {
        matching.unmatched_frames.push_back(i);
      }
    }
    for (std::size_t j = 0; j < rows_.size(); ++j) {
      if (!row_taken[j]) matching.unmatched_rows.push_back(j);
    }
  }

  /// Neighbours of one picture of which one has no row.
  std::vector<std::pair<std::size_t, std::size_t>> scanned_twice(const Matching& matching) const {
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    for (std::size_t place = 1; place < matching.film_order.size(); ++place) {
      const std::size_t a = matching.film_order[place - 1];
      const std::size_t b = matching.film_order[place];
      const bool one_row = matching.frames[a].row.has_value() != matching.frames[b].row.has_value();
      if (one_row && evidence_.same_picture(a, b)) pairs.push_back(std::minmax(a, b));
    }
    return pairs;
  }

  template <class Sequence>
  static Index count(const Sequence& sequence) {
    return static_cast<Index>(sequence.size());
  }

  std::span<const MatchFrame> given_;
  std::vector<MatchFrame> aligned_;
  std::span<const MatchFrame> frames_;  ///< of aligned_
  const std::vector<log::LogRow>& rows_;
  MatchEvidence evidence_;
  std::vector<ScanOrder> orders_;
  std::vector<Hypothesis> hypotheses_;
  int families_ = 0;
  bool both_numbered_ = false;
  MatrixXd posterior_;  ///< frames as given x rows: probability of a pair
};

}  // namespace

std::string_view name_of(FilmDirection direction) {
  return name_in(std::to_array<std::string_view>({"forward", "reversed"}), direction);
}

Matching match_frames(std::span<const MatchFrame> frames, const log::ShotLog& log,
                      const film::FilmProfile& film) {
  return Matcher(frames, log, film).match();
}

}  // namespace basefog::matching

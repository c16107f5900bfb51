// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/matching/matching.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "core/name_list.hpp"
#include "core/plain_text.hpp"
#include "matching/match_evidence.hpp"
#include "matching/match_hypothesis.hpp"
#include "matching/scan_orders.hpp"
#include "numeric/alignment.hpp"

namespace basefog::matching {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// Probabilities without a source are judgement; tests/validation/matching_study.cpp shows what they
// do.
constexpr double kWorthNaming = 0.1;  ///< what else may be named beside a pair: the other tenth
const double kBeginningLost = std::log(0.2);   ///< numbers that begin late, against a gap within
const double kPictureOrBlank = std::log(0.5);  ///< what a row that nobody wrote would have said
constexpr double kNeverMind = 1e-5;            ///< a hypothesis less probable than this is let go
constexpr int kRounds = 4;                     ///< of weighing and learning; a few settle both
/// A place that one side's numbers hold open is lost on the other side twice as often as any: what
/// was forgotten was often not scanned either.
constexpr double kOftenLost = 2;

class Matcher {
 public:
  Matcher(std::span<const MatchFrame> frames, const log::ShotLog& log,
          const film::FilmProfile& film)
      : frames_(frames),
        rows_(log.rows),
        evidence_(frames, log.rows, film),
        orders_(possible_orders(frames)) {
    std::vector<std::string> row_labels;
    for (const log::LogRow& row : rows_) row_labels.push_back(row.frame);
    for (const ScanOrder& order : orders_) {
      std::vector<std::string> labels;
      for (std::size_t frame : order.frames) labels.push_back(frames_[frame].label);
      for (const Numbering& numbering : possible_numberings(labels, row_labels, lead_in(order))) {
        add_hypotheses(order, numbering);
      }
    }
  }

  /// Blank frames at the beginning of an order whose numbers count from 1.
  int lead_in(const ScanOrder& order) const {
    int blanks = 0;
    for (const std::size_t frame : order.frames) {
      if (!frames_[frame].blank) break;
      blanks += number_in(frames_[frame].label).value_or(0) >= 1 ? 1 : 0;
    }
    return blanks;
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
    if (numbering.frames_numbered && numbering.rows_numbered) {
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
    prepare_evidence();
    posterior_ = MatrixXd::Zero(count(frames_), count(rows_));
    double most = -1e300;
    double total = 0;
    std::optional<int> family;
    numeric::AlignmentProblem problem;
    for (Hypothesis& hypothesis : hypotheses_) {
      if (family != hypothesis.family) problem = problem_for(hypothesis);
      family = hypothesis.family;
      set_losses(problem, hypothesis);
      const numeric::AlignmentSum sum = numeric::sum_alignments(problem);
      hypothesis.weight = sum.log_likelihood + hypothesis.log_prior();
      if (hypothesis.weight > most) {  // the sums so far are against a lesser one
        posterior_ *= std::exp(most - hypothesis.weight);
        total *= std::exp(most - hypothesis.weight);
        most = hypothesis.weight;
      }
      const double share = std::exp(hypothesis.weight - most);
      posterior_ += share * by_frame_and_row(hypothesis, sum.posterior);
      total += share;
    }
    posterior_ /= total;
    for (Hypothesis& hypothesis : hypotheses_) {
      hypothesis.weight = std::exp(hypothesis.weight - most) / total;
    }
    std::erase_if(hypotheses_, [](const Hypothesis& h) { return h.weight < kNeverMind; });
  }

  void prepare_evidence() {
    pair_ = MatrixXd(count(frames_), count(rows_));
    for (Index i = 0; i < pair_.rows(); ++i) {
      for (Index j = 0; j < pair_.cols(); ++j) {
        pair_(i, j) = evidence_.pair(static_cast<std::size_t>(i), static_cast<std::size_t>(j));
      }
    }
  }

  /// All but what the losses say.
  numeric::AlignmentProblem problem_for(const Hypothesis& hypothesis) const {
    const Numbering& numbering = hypothesis.numbering;
    const Index n = count(numbering.frames);
    const Index m = count(numbering.rows);
    numeric::AlignmentProblem problem{.pair = MatrixXd::Zero(n, m),
                                      .follow = {},
                                      .skip_first = MatrixXd(n, m + 1),
                                      .skip_second = Eigen::VectorXd(m),
                                      .hollow = {}};
    problem.hollow.setConstant(n, m, false);
    for (Index i = 0; i < n; ++i) {
      for (Index j = 0; j < m; ++j) {
        problem.pair(i, j) = paired(hypothesis, i, j);
        problem.hollow(i, j) = !numbering.frames[static_cast<std::size_t>(i)] ||
                               !numbering.rows[static_cast<std::size_t>(j)];
      }
    }
    for (int a = 0; a < numeric::AlignmentProblem::kReach; ++a) {
      for (int b = 0; b < numeric::AlignmentProblem::kReach; ++b) {
        problem.follow.at(static_cast<std::size_t>(a)).at(static_cast<std::size_t>(b)) =
            followed(hypothesis, a, b);
      }
    }
    return problem;
  }

  void set_losses(numeric::AlignmentProblem& problem, const Hypothesis& hypothesis) const {
    const Numbering& numbering = hypothesis.numbering;
    const Index m = count(numbering.rows);
    const Losses losses = hypothesis.losses();
    for (Index j = 0; j < m; ++j) problem.skip_second(j) = skipped_row(numbering, j, losses);
    for (Index i = 0; i < count(numbering.frames); ++i) {
      const auto& place = numbering.frames[static_cast<std::size_t>(i)];
      for (Index j = 0; j <= m; ++j) {
        // Where both are numbered, frames before the first row are the numbering's business.
        const bool leading = j == 0 && !(numbering.frames_numbered && numbering.rows_numbered);
        problem.skip_first(i, j) =
            place ? skipped_frame(hypothesis.order->frames, *place, leading, j == m, losses.rows)
                  : std::log(kOftenLost * losses.rows);
      }
    }
  }

  /// What pairs gain by the pair before them, over a frames and b rows between.
  MatrixXd followed(const Hypothesis& hypothesis, int a, int b) const {
    const Places& frames = hypothesis.numbering.frames;
    const Places& rows = hypothesis.numbering.rows;
    MatrixXd follow = MatrixXd::Zero(count(frames), count(rows));
    for (Index i = a + 1; i < follow.rows(); ++i) {
      const auto& place_before = frames[static_cast<std::size_t>(i - 1 - a)];
      const auto& place = frames[static_cast<std::size_t>(i)];
      if (!place_before || !place) continue;
      for (Index j = b + 1; j < follow.cols(); ++j) {
        const auto& row_before = rows[static_cast<std::size_t>(j - 1 - b)];
        const auto& row = rows[static_cast<std::size_t>(j)];
        if (!row_before || !row) continue;
        follow(i, j) = evidence_.follow(hypothesis.order->frames[*place_before],
                                        hypothesis.order->frames[*place], *row_before, *row,
                                        1 + std::max(a, b));
      }
    }
    return follow;
  }

  double paired(const Hypothesis& hypothesis, Index i, Index j) const {
    const Numbering& numbering = hypothesis.numbering;
    const auto& place = numbering.frames[static_cast<std::size_t>(i)];
    const auto& row = numbering.rows[static_cast<std::size_t>(j)];
    // A number left out within the roll explains itself; a beginning that is left out is rarer.
    if (!place) return row && leads(numbering.frames, i) ? kBeginningLost : 0;
    const std::size_t frame = hypothesis.order->frames[*place];
    if (row) return pair_(static_cast<Index>(frame), static_cast<Index>(*row));
    const double unwritten = evidence_.alone(frame) + kPictureOrBlank;
    return leads(numbering.rows, j) && !frames_[frame].blank ? unwritten + kBeginningLost
                                                             : unwritten;
  }

  /// True for a place before the first that holds anything.
  static bool leads(const Places& places, Index place) {
    return std::none_of(places.begin(), places.begin() + place + 1,
                        [](const auto& held) { return held.has_value(); });
  }

  double skipped_row(const Numbering& numbering, Index j, const Losses& losses) const {
    const auto& row = numbering.rows[static_cast<std::size_t>(j)];
    if (!row) {
      const bool leading = leads(numbering.rows, j);
      constexpr double kLateCount = 0.5;  // a log's count that begins late: as likely as not
      return std::log(leading && !numbering.frames_numbered ? kLateCount
                                                            : kOftenLost * losses.scans);
    }
    // Two exposures on one frame leave the second row without a frame of its own; a row that says
    // that there was no picture is often of a frame that nobody scanned.
    const std::string words = plain_form(rows_[*row].scene + " " + rows_[*row].note);
    const bool twice = words.find("double exp") != std::string::npos ||
                       words.find("multiple exp") != std::string::npos;
    constexpr double kNoFrame = 0.4;
    return std::log(twice || rows_[*row].no_picture ? kNoFrame : losses.scans);
  }

  /// A frame that no row tells of: rare, but for the lead-in, the end of the film, and a scan made
  /// twice.
  double skipped_frame(const std::vector<std::size_t>& order, std::size_t place, bool leading,
                       bool trailing, double loss) const {
    constexpr double kBlankAtStart = 0.25;     // two advances after loading (common practice)
    constexpr double kBlankAtEnd = 0.06;       // wound on to be sure
    constexpr double kPictureAtStart = 0.045;  // one roll in twenty has a shot before its first row
    constexpr double kPictureAtEnd = 0.04;     // and one a shot after its last
    constexpr double kTwice = 0.1;             // of two scans that look alike
    constexpr double kBlankBetween = 0.3;      // of the frames without a row, a cap or a misfire
    constexpr double kLeastLoss = 0.02;        // which happens however well the log was kept
    const std::size_t frame = order[place];
    if (frames_[frame].fixed) return evidence_.alone(frame);
    if (frames_[frame].blank) {
      const double between = kBlankBetween * std::max(loss, kLeastLoss);
      return std::log(leading ? kBlankAtStart : trailing ? kBlankAtEnd : between);
    }
    const bool twice =
        (place > 0 && evidence_.same_picture(order[place - 1], frame)) ||
        (place + 1 < order.size() && evidence_.same_picture(order[place + 1], frame));
    const double at_end = leading ? kPictureAtStart : trailing ? kPictureAtEnd : 0;
    return std::log(std::max({loss, at_end, twice ? kTwice : 0})) + evidence_.alone(frame);
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
    matching.scanned_twice = scanned_twice(matching);
    return matching;
  }

  FrameMatch match_of(std::size_t frame, std::optional<std::size_t> partner) const {
    const MatchFrame& given = frames_[frame];
    if (given.fixed) return {.row = given.fixed_row, .probability = 1, .fixed = true};
    const auto probabilities = posterior_.row(static_cast<Index>(frame));
    const double alone = std::max(0.0, 1 - probabilities.sum());
    FrameMatch match{.row = partner,
                     .probability = partner ? probabilities(static_cast<Index>(*partner)) : alone};
    match.doubtful = match.probability < kDoubtful;
    if (partner && alone >= kWorthNaming) match.alternatives.push_back({std::nullopt, alone});
    for (std::size_t j = 0; j < rows_.size(); ++j) {
      const double p = probabilities(static_cast<Index>(j));
      if (p >= kWorthNaming && partner != j) match.alternatives.push_back({j, p});
    }
    std::sort(match.alternatives.begin(), match.alternatives.end(),
              [](const auto& a, const auto& b) { return a.probability > b.probability; });
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

  std::span<const MatchFrame> frames_;
  const std::vector<log::LogRow>& rows_;
  MatchEvidence evidence_;
  std::vector<ScanOrder> orders_;
  std::vector<Hypothesis> hypotheses_;
  int families_ = 0;
  MatrixXd pair_;
  MatrixXd posterior_;
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

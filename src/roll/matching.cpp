// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/matching.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <numeric>

#include "numeric/alignment.hpp"

namespace basefog {
namespace {

// Likelihoods of what happens to a frame or a row (judgement; rolls lose a frame or a row or two).
constexpr double kFrameWithoutRow = 0.05;
constexpr double kRowWithoutFrame = 0.05;
constexpr double kBlankWithRow = 0.02;      ///< a blank where the log has a picture
constexpr double kBlankWithoutRow = 0.6;    ///< a frame that nobody logged is mostly a blank
constexpr double kPictureOfNothing = 0.05;  ///< a picture where the row says there is none
constexpr double kLabelHolds = 0.95;        ///< a pair obeys the roll's numbering
/// How far a frame's exposure lies from what its row asked for once the roll's common offset is
/// taken off, and how far frames without a row lie anywhere; stops.
constexpr double kPairSpread = 0.35;
constexpr double kAnySpread = 1.2;
constexpr double kDoubtful = 0.8;  ///< a pair less probable than this is called doubtful
constexpr double kLeastProbable = 0.25;

/// How file labels and row labels hang together, if they do: row = file + offset, or on a roll
/// scanned back to front row = total - file.
struct Numbering {
  FilmDirection direction = FilmDirection::forward;
  std::optional<int> offset;  ///< absent: labels say nothing but the order
  double prior = 0;
};

std::optional<int> number_of(const std::string& label) {
  int number = 0;
  const char* end = label.data() + label.size();
  const auto [stop, error] = std::from_chars(label.data(), end, number);
  if (error != std::errc() || stop != end) return std::nullopt;
  return number;
}

std::vector<Numbering> possible_numberings(std::size_t frames, bool labelled) {
  constexpr double kReversed = 0.2;
  if (!labelled) {
    return {{FilmDirection::forward, std::nullopt, 1 - kReversed},
            {FilmDirection::reversed, std::nullopt, kReversed}};
  }
  constexpr double kNoRelation = 0.05;
  constexpr int kMostOffset = 3;  // lead-in frames that were scanned and numbered, or were not
  std::vector<Numbering> numberings;
  for (const FilmDirection direction : {FilmDirection::forward, FilmDirection::reversed}) {
    const bool forward = direction == FilmDirection::forward;
    const double share = forward ? 1 - kReversed : kReversed;
    numberings.push_back({direction, std::nullopt, share * kNoRelation});
    const int centre = forward ? 0 : static_cast<int>(frames) + 1;
    for (int k = -kMostOffset; k <= kMostOffset; ++k) {
      const double prior = k == 0 ? 0.65 : 0.3 / (2 * kMostOffset);
      numberings.push_back({direction, centre + k, share * prior});
    }
  }
  return numberings;
}

/// Log likelihood ratio of a pair's labels under a numbering against no relation at all.
double label_evidence(const std::string& frame, const std::string& row, const Numbering& numbering,
                      std::size_t rows) {
  if (!numbering.offset || frame.empty() || row.empty()) return 0;
  const std::optional<int> file = number_of(frame);
  const std::optional<int> logged = number_of(row);
  const bool forward = numbering.direction == FilmDirection::forward;
  const bool holds =
      file && logged ? *logged == (forward ? *file + *numbering.offset : *numbering.offset - *file)
                     : frame == row && forward && *numbering.offset == 0;
  // Numbers that have nothing to do with each other agree by chance once in a roll.
  constexpr double kFramesOnARoll = 36;
  return std::log(holds ? kLabelHolds * std::max(kFramesOnARoll, static_cast<double>(rows))
                        : 1 - kLabelHolds);
}

/// Student t with 4 degrees of freedom, log density up to a constant; tails for wild frames.
double log_t4(double x, double scale) {
  return -2.5 * std::log1p(x * x / (4 * scale * scale)) - std::log(scale);
}

class Matcher {
 public:
  Matcher(std::span<const MatchFrame> frames, const ShotLog& log, FilmSpeed film_speed)
      : frames_(frames), rows_(log.rows) {
    for (const LogRow& row : rows_) expected_.push_back(expected_exposure(row, film_speed));
    common_offset_ = initial_offset();
  }

  Matching match() {
    // The common offset (camera, film, development) is learned from the pairs, and the pairs from
    // it; a few rounds settle both.
    for (int round = 0; round < 4; ++round) {
      weigh_numberings();
      update_offset();
    }
    weigh_numberings();
    return result();
  }

 private:
  std::size_t film_place(std::size_t i, FilmDirection direction) const {
    return direction == FilmDirection::forward ? i : frames_.size() - 1 - i;
  }

  AlignmentProblem problem_for(const Numbering& numbering) const {
    const auto n = static_cast<Eigen::Index>(frames_.size());
    const auto m = static_cast<Eigen::Index>(rows_.size());
    AlignmentProblem problem{
        .pair = Eigen::MatrixXd(n, m),
        .skip_first = Eigen::VectorXd(n),
        .skip_second = Eigen::VectorXd::Constant(m, std::log(kRowWithoutFrame))};
    for (Eigen::Index i = 0; i < n; ++i) {
      const MatchFrame& frame =
          frames_[film_place(static_cast<std::size_t>(i), numbering.direction)];
      problem.skip_first(i) = std::log(kFrameWithoutRow) + alone_evidence(frame);
      for (Eigen::Index j = 0; j < m; ++j) {
        const auto row = static_cast<std::size_t>(j);
        problem.pair(i, j) = pair_evidence(frame, row) +
                             label_evidence(frame.label, rows_[row].frame, numbering, rows_.size());
      }
    }
    return problem;
  }

  double alone_evidence(const MatchFrame& frame) const {
    if (frame.blank) return std::log(kBlankWithoutRow);
    double evidence = std::log(1 - kBlankWithoutRow);
    if (frame.exposure) evidence += log_t4(frame.exposure->value() - common_offset_, kAnySpread);
    return evidence;
  }

  double pair_evidence(const MatchFrame& frame, std::size_t row) const {
    const bool nothing_logged = rows_[row].no_picture;
    if (frame.blank) return std::log(nothing_logged ? 1 - kPictureOfNothing : kBlankWithRow);
    double evidence = std::log(nothing_logged ? kPictureOfNothing : 1 - kBlankWithRow);
    if (frame.exposure) {
      const double at = frame.exposure->value() - common_offset_;
      evidence += expected_[row] ? log_t4(at - expected_[row]->value(),
                                          std::hypot(kPairSpread, frame.exposure_sigma))
                                 : log_t4(at, kAnySpread);
    }
    return evidence;
  }

  /// Sums over all alignments of all numberings; posterior_ is by frame as given and row.
  void weigh_numberings() {
    const bool labelled =
        std::any_of(frames_.begin(), frames_.end(),
                    [](const auto& f) { return !f.label.empty(); }) &&
        std::any_of(rows_.begin(), rows_.end(), [](const auto& r) { return !r.frame.empty(); });
    numberings_ = possible_numberings(frames_.size(), labelled);
    std::vector<AlignmentSum> sums;
    double most = -1e300;
    for (const Numbering& numbering : numberings_) {
      sums.push_back(sum_alignments(problem_for(numbering)));
      sums.back().log_likelihood += std::log(numbering.prior);
      most = std::max(most, sums.back().log_likelihood);
    }
    weights_.clear();
    for (const AlignmentSum& sum : sums) weights_.push_back(std::exp(sum.log_likelihood - most));
    const double total = std::accumulate(weights_.begin(), weights_.end(), 0.0);
    posterior_ = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(frames_.size()),
                                       static_cast<Eigen::Index>(rows_.size()));
    for (std::size_t h = 0; h < sums.size(); ++h) {
      weights_[h] /= total;
      for (std::size_t i = 0; i < frames_.size(); ++i) {
        posterior_.row(static_cast<Eigen::Index>(film_place(i, numberings_[h].direction))) +=
            weights_[h] * sums[h].posterior.row(static_cast<Eigen::Index>(i));
      }
    }
  }

  double initial_offset() const {
    std::vector<double> exposures;
    for (const MatchFrame& frame : frames_) {
      if (frame.exposure) exposures.push_back(frame.exposure->value());
    }
    std::vector<double> asked;
    for (const auto& expected : expected_) {
      if (expected) asked.push_back(expected->value());
    }
    return median(exposures) - median(asked);
  }

  void update_offset() {
    std::vector<std::pair<double, double>> weighted;  // difference, weight
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      for (std::size_t j = 0; frames_[i].exposure && j < rows_.size(); ++j) {
        const double p = posterior_(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
        if (!expected_[j] || p < 0.01) continue;
        weighted.emplace_back((*frames_[i].exposure - *expected_[j]).value(), p);
      }
    }
    if (weighted.empty()) return;
    std::sort(weighted.begin(), weighted.end());
    double half = 0;
    for (const auto& [difference, weight] : weighted) half += weight / 2;
    for (const auto& [difference, weight] : weighted) {
      half -= weight;
      if (half <= 0) {
        common_offset_ = difference;
        return;
      }
    }
  }

  static double median(std::vector<double> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
  }

  double weight_of(FilmDirection direction) const {
    double weight = 0;
    for (std::size_t h = 0; h < numberings_.size(); ++h) {
      if (numberings_[h].direction == direction) weight += weights_[h];
    }
    return weight;
  }

  Matching result() const {
    Matching matching;
    matching.direction =
        weight_of(FilmDirection::reversed) > 0.5 ? FilmDirection::reversed : FilmDirection::forward;
    const bool reversed = matching.direction == FilmDirection::reversed;
    const auto partners = best_alignment(
        reversed ? Eigen::MatrixXd(posterior_.colwise().reverse()) : posterior_, kLeastProbable);
    std::vector<bool> row_taken(rows_.size(), false);
    matching.confidence = 1;
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      FrameMatch match{.row = partners[film_place(i, matching.direction)]};
      const auto at = static_cast<Eigen::Index>(i);
      if (match.row) {
        match.probability = posterior_(at, static_cast<Eigen::Index>(*match.row));
        row_taken[*match.row] = true;
      } else {
        match.probability = std::max(0.0, 1 - posterior_.row(at).sum());
        matching.unmatched_frames.push_back(i);
      }
      match.doubtful = match.probability < kDoubtful;
      matching.confidence = std::min(matching.confidence, match.probability);
      matching.frames.push_back(match);
    }
    for (std::size_t j = 0; j < rows_.size(); ++j) {
      if (!row_taken[j]) matching.unmatched_rows.push_back(j);
    }
    add_notes(matching);
    return matching;
  }

  void add_notes(Matching& matching) const {
    if (matching.direction == FilmDirection::reversed) {
      matching.notes.emplace_back("The scans run from the last frame to the first.");
    }
    const auto best = static_cast<std::size_t>(std::max_element(weights_.begin(), weights_.end()) -
                                               weights_.begin());
    if (matching.direction == FilmDirection::forward && numberings_[best].offset.value_or(0) != 0) {
      matching.notes.push_back(fmt::format(
          "The numbers in the file names run {} ahead of the log's.", -*numberings_[best].offset));
    }
    const auto doubtful = std::count_if(matching.frames.begin(), matching.frames.end(),
                                        [](const FrameMatch& match) { return match.doubtful; });
    if (doubtful > 0) {
      matching.notes.push_back(fmt::format(
          "{} of {} frames might belong to another row, or to none.", doubtful, frames_.size()));
    }
  }

  std::span<const MatchFrame> frames_;
  const std::vector<LogRow>& rows_;
  std::vector<std::optional<Stops>> expected_;
  double common_offset_ = 0;
  std::vector<Numbering> numberings_;
  std::vector<double> weights_;
  Eigen::MatrixXd posterior_;
};

}  // namespace

Matching match_frames(std::span<const MatchFrame> frames, const ShotLog& log,
                      FilmSpeed film_speed) {
  return Matcher(frames, log, film_speed).match();
}

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/pairing_model.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "core/plain_text.hpp"

namespace basefog::matching {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// Probabilities without a source are judgement; tests/validation/matching_study.cpp shows what they
// do.
const double kBeginningLost = std::log(0.2);  ///< numbers that begin late, against a gap within
/// A place that one side's numbers hold open is lost on the other side twice as often as any: what
/// was forgotten was often not scanned either.
constexpr double kOftenLost = 2;
const double kPictureOrBlank = std::log(0.5);  ///< what a row that nobody wrote would have said

template <class Sequence>
Index count(const Sequence& sequence) {
  return static_cast<Index>(sequence.size());
}

/// True for a place before the first that holds anything.
bool leads(const Places& places, Index place) {
  return std::none_of(places.begin(), places.begin() + place + 1,
                      [](const auto& held) { return held.has_value(); });
}

}  // namespace

PairingModel::PairingModel(std::span<const MatchFrame> frames, const std::vector<log::LogRow>& rows,
                           const MatchEvidence& evidence)
    : frames_(frames), rows_(rows), evidence_(evidence), pair_(count(frames), count(rows)) {
  for (Index i = 0; i < pair_.rows(); ++i) {
    for (Index j = 0; j < pair_.cols(); ++j) {
      pair_(i, j) = evidence_.pair(static_cast<std::size_t>(i), static_cast<std::size_t>(j));
    }
  }
}

numeric::AlignmentProblem PairingModel::problem_for(const Hypothesis& hypothesis) const {
  const Numbering& numbering = hypothesis.numbering;
  const Index n = count(numbering.frames);
  const Index m = count(numbering.rows);
  Skips skips = skips_of(hypothesis);
  numeric::AlignmentProblem problem{.pair = MatrixXd::Zero(n, m),
                                    .follow = {},
                                    .skip_first = std::move(skips.first),
                                    .skip_second = std::move(skips.second),
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

Skips PairingModel::skips_of(const Hypothesis& hypothesis) const {
  const Numbering& numbering = hypothesis.numbering;
  const Index n = count(numbering.frames);
  const Index m = count(numbering.rows);
  const Losses losses = hypothesis.losses();
  Skips skips{.first = MatrixXd(n, m + 1), .second = Eigen::VectorXd(m)};
  for (Index j = 0; j < m; ++j) skips.second(j) = skipped_row(numbering, j, losses);
  for (Index i = 0; i < n; ++i) {
    const auto& place = numbering.frames[static_cast<std::size_t>(i)];
    const auto skipped = [&](bool leading, bool trailing) {
      return place ? skipped_frame(hypothesis.order->frames, *place, leading, trailing, losses.rows)
                   : std::log(kOftenLost * losses.rows);
    };
    skips.first.row(i).setConstant(skipped(false, false));
    skips.first(i, m) = skipped(false, true);
    // Where both are numbered, frames before the first row are the numbering's business.
    if (!numbering.both_numbered()) skips.first(i, 0) = skipped(true, m == 0);
  }
  return skips;
}

/// What pairs gain by the pair before them, over a frames and b rows between.
MatrixXd PairingModel::followed(const Hypothesis& hypothesis, int a, int b) const {
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
      follow(i, j) =
          evidence_.follow(hypothesis.order->frames[*place_before],
                           hypothesis.order->frames[*place], *row_before, *row, 1 + std::max(a, b));
    }
  }
  return follow;
}

double PairingModel::paired(const Hypothesis& hypothesis, Index i, Index j) const {
  const Numbering& numbering = hypothesis.numbering;
  const auto& place = numbering.frames[static_cast<std::size_t>(i)];
  const auto& row = numbering.rows[static_cast<std::size_t>(j)];
  if (!place) return 0;  // a number left out explains itself
  const std::size_t frame = hypothesis.order->frames[*place];
  if (row) return pair_(static_cast<Index>(frame), static_cast<Index>(*row));
  const double unwritten = evidence_.alone(frame) + kPictureOrBlank;
  // A log that begins late is rarer than a row left out within it. Where both are numbered the
  // numbering has weighed its gaps.
  const bool beginning =
      !numbering.both_numbered() && leads(numbering.rows, j) && !frames_[frame].blank;
  return beginning ? unwritten + kBeginningLost : unwritten;
}

double PairingModel::skipped_row(const Numbering& numbering, Index j, const Losses& losses) const {
  const auto& row = numbering.rows[static_cast<std::size_t>(j)];
  if (!row) {
    const bool leading = leads(numbering.rows, j);
    constexpr double kLateCount = 0.5;  // a log's count that begins late: as likely as not
    return std::log(leading && !numbering.frames_numbered ? kLateCount : kOftenLost * losses.scans);
  }
  // Two exposures on one frame leave the second row without a frame of its own; a row that says
  // that there was no picture is often of a frame that nobody scanned.
  const std::string words = plain_form(rows_[*row].scene + " " + rows_[*row].note);
  const bool twice = words.find("double exp") != std::string::npos ||
                     words.find("multiple exp") != std::string::npos;
  constexpr double kNoFrame = 0.4;
  return std::log(twice || rows_[*row].no_picture ? kNoFrame : losses.scans);
}

/// A frame without a row: rare, but for the lead-in, the end of the film, and a scan made
/// twice.
double PairingModel::skipped_frame(const std::vector<std::size_t>& order, std::size_t place,
                                   bool leading, bool trailing, double loss) const {
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
  const bool twice = (place > 0 && evidence_.same_picture(order[place - 1], frame)) ||
                     (place + 1 < order.size() && evidence_.same_picture(order[place + 1], frame));
  const double at_end = leading ? kPictureAtStart : trailing ? kPictureAtEnd : 0;
  return std::log(std::max({loss, at_end, twice ? kTwice : 0})) + evidence_.alone(frame);
}

}  // namespace basefog::matching

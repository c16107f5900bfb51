// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/matching_limit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <random>

#include "numeric/alignment.hpp"

namespace study {
namespace {

using basefog::log::LogRow;
using basefog::numeric::AlignmentProblem;
using Eigen::Index;
using Eigen::MatrixXd;

constexpr int kPictures = 36;
constexpr double kFilmStops = 2;      // ISO 400 against 100
constexpr double kRounding = 0.29;    // to the nearest mark, a stop apart
constexpr double kSceneLight = 0.2;   // from frame to frame of one scene
constexpr double kOwnExposure = 0.1;  // of the shutter, frame to frame
constexpr double kMeasured = 0.125;   // half of the middle sigma of a frame's exposure
constexpr double kNeedle = 0.12;
constexpr double kGuess = 0.6;
constexpr double kStays = 0.83;         // in a place, from one scene to the next
constexpr double kUnsaidWanted = 0.03;  // a compensation that was not written down
constexpr double kBackwards = 1 / 3.0;  // of the rolls

/// How alike frames of one scene look, against others, on rolls of their own.
class Likenesses {
 public:
  Likenesses() {
    constexpr unsigned kSeed = 991;
    constexpr int kRolls = 60;
    std::mt19937 random(kSeed);
    for (auto& counts : counts_) counts.fill(1);
    for (int k = 0; k < kRolls; ++k) {
      add(simulate_roll(RowNumbers::none, FileNumbers::none, Scanned::sheet, random));
    }
  }

  /// Odds that two frames so far apart are of one scene, by their pictures.
  double odds(const SimulatedRoll& roll, std::size_t a, std::size_t b, std::size_t apart) const {
    const auto alike = basefog::matching::likeness(roll.frames[a].picture, roll.frames[b].picture);
    const auto& [other, same] = at_distance_.at(apart);
    const double before = same / other;
    if (!alike) return before;
    const auto share = [&](std::size_t scene) {
      const auto& counts = counts_.at(scene);
      return counts.at(bin(*alike)) / std::accumulate(counts.begin(), counts.end(), 0.0);
    };
    return before * share(1) / share(0);
  }

 private:
  static std::size_t bin(double alike) {
    return static_cast<std::size_t>(std::clamp((alike + 1) * kBins / 2, 0.0, kBins - 1.0));
  }
  void add(const SimulatedRoll& roll) {
    for (std::size_t i = 0; i < roll.frames.size(); ++i) {
      for (std::size_t apart = 1; apart <= kFar && apart <= i; ++apart) {
        const std::size_t k = i - apart;
        const std::size_t same = roll.hidden.scene[i] == roll.hidden.scene[k] ? 1 : 0;
        ++at_distance_.at(apart).at(same);
        const auto alike =
            basefog::matching::likeness(roll.frames[i].picture, roll.frames[k].picture);
        if (alike) ++counts_.at(same).at(bin(*alike));
      }
    }
  }

  static constexpr std::size_t kBins = 40;
  static constexpr std::size_t kFar = AlignmentProblem::kReach;
  std::array<std::array<double, kBins>, 2> counts_{};          ///< of other and of one scene
  std::array<std::array<double, 2>, kFar + 1> at_distance_{};  ///< pairs of frames, likewise
};

const Likenesses& likenesses() {
  static const Likenesses measured;
  return measured;
}

double normal(double x, double sigma) {
  return std::exp(-x * x / (2 * sigma * sigma)) / (sigma * std::sqrt(2 * std::numbers::pi));
}

/// Marked settings as EV at ISO 100 for the film; nothing where either is missing.
std::optional<double> set_ev(const LogRow& row) {
  if (!row.used.shutter || !row.used.aperture) return std::nullopt;
  return std::round(exact(*row.used.shutter).time_value()) +
         std::round(exact(*row.used.aperture).aperture_value()) - kFilmStops;
}

double wanted(const LogRow& row) { return row.compensation ? row.compensation->value() : 0; }

class BestMethod {
 public:
  BestMethod(const SimulatedRoll& roll, Told told, bool backwards) : roll_(roll), told_(told) {
    for (std::size_t i = 0; i < roll.frames.size(); ++i) {
      if (!roll.frames[i].blank) frames_.push_back(i);
    }
    if (backwards) std::ranges::reverse(frames_);
    for (const LogRow& row : roll.log.rows) row_odds_.push_back(row_odds_of(row));
    numbered_ = std::ranges::none_of(roll.log.rows, &std::string::empty, &LogRow::frame);
    if (numbered_) places_.resize(kPictures);
    for (std::size_t j = 0; j < roll.log.rows.size(); ++j) {
      if (numbered_) {
        places_.at(static_cast<std::size_t>(std::stoi(roll.log.rows[j].frame)) - 1) = j;
      } else {
        places_.emplace_back(j);
      }
    }
  }

  /// All alignments of `frames` and the rows' places.
  basefog::numeric::AlignmentSum sum() const {
    const auto n = static_cast<Index>(frames_.size());
    const auto m = static_cast<Index>(places_.size());
    AlignmentProblem problem{.pair = MatrixXd(n, m),
                             .follow = {},
                             .skip_first = MatrixXd(n, m + 1),
                             .skip_second = Eigen::VectorXd(m),
                             .hollow = {}};
    problem.hollow.setConstant(n, m, false);
    const double unwritten = std::max(1e-6, (kPictures - static_cast<double>(m)) / kPictures);
    const double unscanned = std::max(1e-6, (kPictures - static_cast<double>(n)) / kPictures);
    problem.skip_second.setConstant(std::log(unscanned));
    for (Index i = 0; i < n; ++i) {
      problem.skip_first.row(i).setConstant(std::log(unwritten) + log_exposure_alone(i));
      for (Index j = 0; j < m; ++j) {
        problem.hollow(i, j) = row(j) == nullptr;
        problem.pair(i, j) = row(j) == nullptr
                                 ? log_exposure_alone(i)
                                 : log_exposure(i, *row(j)) + log_row_in_place(i, *row(j));
      }
    }
    for (int a = 0; a < AlignmentProblem::kReach; ++a) {
      for (int b = 0; b < AlignmentProblem::kReach; ++b) {
        problem.follow.at(static_cast<std::size_t>(a)).at(static_cast<std::size_t>(b)) =
            followed(a, b, n, m);
      }
    }
    return basefog::numeric::sum_alignments(problem);
  }

  std::vector<std::optional<std::size_t>> rows_by(const MatrixXd& posterior) const {
    const auto partners = basefog::numeric::best_alignment(posterior);
    std::vector<std::optional<std::size_t>> rows(roll_.frames.size());
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      if (partners[i]) rows[frames_[i]] = places_[*partners[i]];
    }
    return rows;
  }

 private:
  /// Null for a place whose row was never written.
  const LogRow* row(Index j) const {
    const auto& held = places_[static_cast<std::size_t>(j)];
    return held ? &roll_.log.rows[*held] : nullptr;
  }

  MatrixXd followed(int a, int b, Index n, Index m) const {
    MatrixXd follow = MatrixXd::Zero(n, m);
    for (Index i = a + 1; i < n; ++i) {
      for (Index j = b + 1; j < m; ++j) {
        const LogRow* before = row(j - 1 - b);
        if (before != nullptr && row(j) != nullptr) {
          follow(i, j) = log_follow(i - 1 - a, i, *before, *row(j));
        }
      }
    }
    return follow;
  }

  std::size_t frame(Index i) const { return frames_[static_cast<std::size_t>(i)]; }
  /// How probable it is that two frames are of one scene, seen their pictures.
  double one_scene(Index i, Index k) const {
    if (told_ != Told::habits) {
      return roll_.hidden.scene[frame(i)] == roll_.hidden.scene[frame(k)] ? 1 : 0;
    }
    const double odds =
        likenesses().odds(roll_, frame(i), frame(k), static_cast<std::size_t>(k - i));
    return odds / (1 + odds);
  }
  bool told_places() const { return told_ == Told::scenes_and_places; }

  double own_spread() const {
    switch (roll_.hidden.way) {
      case WayOfMetering::aperture_priority:
        return std::hypot(kOwnExposure, kMeasured);
      case WayOfMetering::match_needle:
        return std::hypot(std::hypot(kOwnExposure, kMeasured), std::hypot(kNeedle, kRounding));
      case WayOfMetering::no_meter:
        break;
    }
    return std::hypot(std::hypot(kOwnExposure, kMeasured), std::hypot(kGuess, kRounding));
  }

  double likelihood(double exposure, const LogRow& row) const {
    double expected = roll_.hidden.bias + wanted(row);
    if (row.used.shutter) {
      const auto error = roll_.hidden.speed_error.find(*row.used.shutter);
      if (error != roll_.hidden.speed_error.end()) expected += error->second;
    }
    const double spread = own_spread();
    if (row.compensation) return normal(exposure - expected, spread);
    return (1 - kUnsaidWanted) * normal(exposure - expected, spread) +
           kUnsaidWanted * normal(exposure - expected, std::hypot(spread, 1));
  }

  double log_exposure(Index i, const LogRow& row) const {
    const auto& exposure = roll_.frames[frame(i)].exposure;
    return exposure ? std::log(likelihood(exposure->value(), row)) : 0;
  }

  /// A frame without a row may be any row's.
  double log_exposure_alone(Index i) const {
    const auto& exposure = roll_.frames[frame(i)].exposure;
    if (!exposure) return 0;
    double sum = 0;
    for (const LogRow& row : roll_.log.rows) sum += likelihood(exposure->value(), row);
    return std::log(sum / static_cast<double>(roll_.log.rows.size()));
  }

  /// What a subject would have been written as, and the light metered there.
  static double likelihood(const LogRow& row, const Subject& subject) {
    double odds = row.scene.empty() || row.scene == subject.words ? 1 : 0;
    if (const auto ev = set_ev(row)) {
      const double light = *ev + wanted(row);
      const double middle = (subject.lowest_ev + subject.highest_ev) / 2;
      const double width = (subject.highest_ev - subject.lowest_ev) / std::sqrt(12);
      odds *= normal(light - middle, std::hypot(std::hypot(width, kSceneLight), 0.4));
    }
    return odds;
  }

  /// What a row would be of in each kind of place, and in any.
  struct Odds {
    std::vector<double> in_place;
    double anywhere = 0;
  };
  static Odds odds_of(const LogRow& row) {
    Odds odds;
    for (const std::vector<Subject>& subjects : places()) {
      double sum = 1e-9;
      for (const Subject& subject : subjects) sum += likelihood(row, subject);
      odds.in_place.push_back(sum / static_cast<double>(subjects.size()));
      odds.anywhere += odds.in_place.back() / static_cast<double>(places().size());
    }
    return odds;
  }
  /// By all of a row, by its words, and by its light.
  struct RowOdds {
    Odds whole;
    Odds words;
    Odds light;
  };
  static RowOdds row_odds_of(const LogRow& row) {
    LogRow words_only;
    words_only.scene = row.scene;
    LogRow light_only = row;
    light_only.scene.clear();
    return {odds_of(row), odds_of(words_only), odds_of(light_only)};
  }
  const RowOdds& odds(const LogRow& row) const {
    return row_odds_[static_cast<std::size_t>(&row - roll_.log.rows.data())];
  }
  /// Of a frame's own place where that is told.
  double there(const Odds& odds, Index i) const {
    return told_places() ? odds.in_place[roll_.hidden.place[frame(i)]] : odds.anywhere;
  }

  /// Where places are told: the row's odds in the frame's place against anywhere.
  double log_row_in_place(Index i, const LogRow& row) const {
    if (!told_places()) return 0;
    return std::log(there(odds(row).whole, i) / odds(row).whole.anywhere);
  }

  /// A row's odds after another, of one scene or of two, against those without the other.
  double log_follow(Index before, Index here, const LogRow& row_before, const LogRow& row) const {
    const double one = one_scene(before, here);
    const double odds =
        (one > 0 ? one * std::exp(log_one_scene(before, here, row_before, row)) : 0) +
        (one < 1 ? (1 - one) * std::exp(log_two_scenes(row_before, row)) : 0);
    return std::log(odds);
  }

  double log_two_scenes(const LogRow& row_before, const LogRow& row) const {
    if (told_places()) return 0;
    double stays = 0;
    double whole = 0;
    const Odds& before = odds(row_before).whole;
    const Odds& here = odds(row).whole;
    for (std::size_t place = 0; place < places().size(); ++place) {
      whole += before.in_place[place];
      stays += before.in_place[place] * here.in_place[place];
    }
    return std::log((kStays * stays / whole + (1 - kStays) * here.anywhere) / here.anywhere);
  }

  double log_one_scene(Index before, Index here, const LogRow& row_before,
                       const LogRow& row) const {
    double odds = 1;
    if (!row.scene.empty() && !row_before.scene.empty()) {
      if (row.scene != row_before.scene) return -12;
      odds /= there(this->odds(row).words, here);
    }
    const auto ev_before = set_ev(row_before);
    const auto ev = set_ev(row);
    if (!ev || !ev_before) return std::log(odds);
    const double change = *ev + wanted(row) - *ev_before - wanted(row_before);
    constexpr double kSpread = 0.52;  // light, needle and rounding of both
    odds *= normal(change, kSpread) / there(this->odds(row).light, here);
    const auto& a = roll_.frames[frame(before)].exposure;
    const auto& b = roll_.frames[frame(here)].exposure;
    if (a && b && roll_.hidden.way != WayOfMetering::aperture_priority) {
      // The light stayed, so the settings tell the difference.
      const double expected = *ev_before - *ev;
      odds *= normal(b->value() - a->value() - expected, 0.36) / likelihood(b->value(), row);
    }
    const auto stop = [](const LogRow& r) { return exact(*r.used.aperture); };
    return std::log(odds * (stop(row) == stop(row_before) ? 3.0 : 0.4));
  }

  const SimulatedRoll& roll_;
  Told told_;
  std::vector<RowOdds> row_odds_;
  bool numbered_ = false;
  std::vector<std::size_t> frames_;                 ///< pictures, in film order
  std::vector<std::optional<std::size_t>> places_;  ///< of rows
};

}  // namespace

std::vector<std::optional<std::size_t>> match_with_hidden_truth(const SimulatedRoll& roll,
                                                                Told told) {
  const BestMethod method(roll, told, roll.scanned_backwards);
  const auto sum = method.sum();
  if (told != Told::habits) return method.rows_by(sum.posterior);
  const BestMethod turned(roll, told, !roll.scanned_backwards);
  const auto turned_sum = turned.sum();
  const double odds =
      roll.scanned_backwards ? kBackwards / (1 - kBackwards) : (1 - kBackwards) / kBackwards;
  const bool right_way = sum.log_likelihood + std::log(odds) > turned_sum.log_likelihood;
  return right_way ? method.rows_by(sum.posterior) : turned.rows_by(turned_sum.posterior);
}

}  // namespace study

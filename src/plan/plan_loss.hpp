// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <vector>

namespace basefog::plan {

// The loss of a plan over the next roll.
//
// Formula. Action 0 is the dial, in stops of more exposure; the others are allowances. Frame k of
// the roll, if all is set as the plan a says, is off by
//
//   e_k(a) = g_k . theta + h_k . a        stops; theta normal, mean mu, covariance C
//
// with g_k the errors that the frame's settings bring in (a camera's bias, its speed's error, less
// what its scene needs) and h_k the actions that apply to it. Over the roll
//
//   E[sum e_k^2] = sum (g_k . mu + h_k . a)^2 + sum g_k C g_k'
//   D = sum e_k(b)^2 - sum e_k(a)^2 = sum d_k (2 g_k . theta + h_k . (a + b)),  d_k = h_k . (b - a)
//
// and since D is linear in theta, it is normal, and the chance that a leaves less than b is
// Phi(mean of D / sigma of D): no draw is needed. The next roll is no average roll: all its frames
// are off by r besides, and each by a w_k of its own, both normal about 0. They add 2 r sum d_k and
// 2 sum d_k w_k to D, which cost both plans alike on average and make the better one lose at times.
//
// Assumes. The posterior is normal; the next roll shows the kinds of frames of this one, as often.
// Costs. Frames x errors once; then actions^2 a plan.
// Source. Ours.

/// What the next roll's frames will be off by beyond theta, standard deviations, stops.
struct NextRollChance {
  double roll = 0;   ///< all alike: batch and development
  double frame = 0;  ///< each by itself
};

/// A quadratic loss over plans; actions are indices, amounts in stops.
class PlanLoss {
 public:
  struct Frame {
    std::vector<double> errors;        ///< g, one for each of theta
    std::vector<std::size_t> actions;  ///< those that apply, each once
  };

  /// mean and covariance (row by row) of theta; frames must not be empty.
  PlanLoss(const std::vector<double>& mean, const std::vector<double>& covariance,
           const std::vector<Frame>& frames, std::size_t actions,
           const NextRollChance& chance = {});

  std::size_t actions() const { return linear_.size(); }
  std::size_t frames() const { return frames_; }
  /// Mean over the frames of e_k^2, stops^2.
  double of(const std::vector<double>& plan) const;
  /// Chance that `plan` leaves less than `other` on the next roll; 0.5 for plans that are the same
  /// on every frame.
  double chance_better(const std::vector<double>& plan, const std::vector<double>& other) const;
  /// The loss as one action alone changes is constant + curvature a^2 + 2 slope a.
  struct Parabola {
    double curvature = 0;
    double slope = 0;
  };
  Parabola along(std::size_t action, const std::vector<double>& plan) const;

 private:
  std::size_t frames_;
  NextRollChance chance_;
  double constant_ = 0;                          ///< of the loss where nothing is done
  std::vector<double> linear_;                   ///< d loss / d action / 2 there
  std::vector<std::vector<double>> quadratic_;   ///< frames that have both actions
  std::vector<std::vector<double>> covariance_;  ///< of the sums over frames of g . theta
};

}  // namespace basefog::plan

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/core/units.hpp"
#include "plan/plan_loss.hpp"

namespace basefog::plan {

/// A dial that can be set: what it changes, and how many things must be set for it.
struct DialChoice {
  Stops change;  ///< more exposure than with the dial as it was
  int lines = 0;
};

/// What a plan is searched among.
struct PlanSearch {
  const PlanLoss& loss;
  std::vector<DialChoice> dials;
  /// The plan that changes nothing, an amount for each action: of the dial 0, of allowances whole
  /// thirds.
  std::vector<double> present;
  /// Chance from which on a change is taken.
  double sure_enough = 2.0 / 3;
  int most_thirds = 9;  ///< of an allowance, either way: 3 stops
};

/// A plan found, an amount for each action, and the dial in it.
struct FoundPlan {
  std::vector<double> amounts;
  std::size_t dial = 0;      ///< index into PlanSearch::dials
  double chance_better = 0;  ///< than the present plan
  bool sure_enough = false;  ///< to be taken in place of the present plan
};

/// What a plan costs: its loss, and a cost for each allowance and for what the dial takes to set.
double cost_of(const PlanSearch& search, const std::vector<double>& amounts,
               const DialChoice& dial);

/// The plan of least cost, each of its allowances better than none with chance enough; the present
/// plan itself where that one is not so against it, with its chance. A plan is not chosen for its
/// chance: that would prefer one that takes off here what it adds there. For each dial one
/// allowance is set to each amount in turn and the others settle around it, until none helps.
FoundPlan best_plan(const PlanSearch& search);

}  // namespace basefog::plan

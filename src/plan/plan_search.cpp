// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/plan_search.hpp"

#include <algorithm>
#include <utility>

#include "core/thirds.hpp"

namespace basefog::plan {
namespace {

/// What a line on the card must save, stops^2 of the mean over the roll's frames: a third of a stop
/// on a tenth of them (judgement; plan_study).
constexpr double kLineCost = 0.011;
/// A gain that is rounding.
constexpr double kNoGain = 1e-9;

class Descent {
 public:
  Descent(const PlanSearch& search, std::size_t dial)
      : search_(search), dial_(search.dials[dial]), plan_(search.present) {
    plan_[0] = dial_.change.value();
  }

  std::vector<double> run() {
    constexpr std::size_t kNone = 0;  // the dial, which stays anyhow
    plan_ = settled(plan_, kNone);
    double least = cost_of(search_, plan_, dial_);
    for (bool moved = true; moved;) {
      moved = false;
      for (std::size_t i = 1; i < plan_.size(); ++i) {
        for (int thirds = -search_.most_thirds; thirds <= search_.most_thirds; ++thirds) {
          std::vector<double> tried = plan_;
          tried[i] = thirds * kThird;
          tried = settled(std::move(tried), i);
          const double cost = cost_of(search_, tried, dial_);
          if (cost >= least - kNoGain) continue;
          least = cost;
          plan_ = std::move(tried);
          moved = true;
        }
      }
    }
    drop_unsure();
    return plan_;
  }

 private:
  /// The amount of an allowance that costs least while all else stays: the third nearest to the
  /// bottom of a parabola, or none.
  double best_amount(std::size_t i, const std::vector<double>& plan) const {
    const PlanLoss::Parabola loss = search_.loss.along(i, plan);
    if (loss.curvature <= 0) return 0;
    const double most = search_.most_thirds * kThird;
    const double amount =
        to_nearest_third(Stops(std::clamp(-loss.slope / loss.curvature, -most, most))).value();
    const double saved = -(loss.curvature * amount + 2 * loss.slope) * amount;
    return saved > kLineCost ? amount : 0;
  }

  /// All allowances but one at their best amounts, one after the other until none moves.
  std::vector<double> settled(std::vector<double> plan, std::size_t held) const {
    constexpr int kMostRounds = 20;
    bool moved = true;
    for (int round = 0; moved && round < kMostRounds; ++round) {
      moved = false;
      for (std::size_t i = 1; i < plan.size(); ++i) {
        if (i == held) continue;
        const double amount = best_amount(i, plan);
        moved = moved || amount != plan[i];
        plan[i] = amount;
      }
    }
    return plan;
  }

  /// Each allowance must be better than none by itself.
  void drop_unsure() {
    for (std::size_t i = 1; i < plan_.size(); ++i) {
      std::vector<double> without = plan_;
      without[i] = search_.present[i];
      if (without[i] == plan_[i]) continue;
      if (search_.loss.chance_better(plan_, without) < search_.sure_enough) plan_ = without;
    }
  }

  const PlanSearch& search_;
  const DialChoice& dial_;
  std::vector<double> plan_;
};

}  // namespace

double cost_of(const PlanSearch& search, const std::vector<double>& amounts,
               const DialChoice& dial) {
  int lines = dial.lines;
  for (std::size_t i = 1; i < amounts.size(); ++i) lines += amounts[i] != 0;
  return search.loss.of(amounts) + lines * kLineCost;
}

FoundPlan best_plan(const PlanSearch& search) {
  FoundPlan best{.amounts = search.present};
  double least = cost_of(search, search.present, {});
  for (std::size_t d = 0; d < search.dials.size(); ++d) {
    const std::vector<double> plan = Descent(search, d).run();
    if (plan == search.present) continue;
    const double cost = cost_of(search, plan, search.dials[d]);
    if (cost >= least - kNoGain) continue;
    least = cost;
    best = {.amounts = plan, .dial = d};
  }
  if (best.amounts == search.present) return best;
  best.chance_better = search.loss.chance_better(best.amounts, search.present);
  best.sure_enough = best.chance_better >= search.sure_enough;
  if (!best.sure_enough) {
    best.amounts = search.present;
    best.dial = 0;
  }
  return best;
}

}  // namespace basefog::plan

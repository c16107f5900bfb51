// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/error_budget.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "basefog/core/estimate.hpp"
#include "ensemble/member.hpp"
#include "ensemble/weights.hpp"

namespace basefog::ensemble {
namespace {

using reading::ErrorBudget;
using reading::ErrorCause;

/// Six causes, each of which one latent stands for.
constexpr std::array kCauses = {
    std::pair{Latent::base, ErrorCause::base},
    std::pair{Latent::response, ErrorCause::response},
    std::pair{Latent::contrast, ErrorCause::contrast},
    std::pair{Latent::shoulder, ErrorCause::toe_and_shoulder},
    std::pair{Latent::speed, ErrorCause::film_speed},
    std::pair{Latent::red_place, ErrorCause::metering_pattern},
};

struct Members {
  explicit Members(std::size_t count)
      : members(draw_from_prior(count)), weights(count, 1.0 / static_cast<double>(count)) {}
  std::vector<Member> members;
  std::vector<double> weights;

  std::vector<Difference> differences() const {
    std::vector<Difference> all;
    for (const auto& [latent, cause] : kCauses) {
      Difference& one = all.emplace_back(Difference{cause, {}});
      for (const Member& member : members) one.value.push_back(member.z[latent]);
    }
    return all;
  }
  /// The sum of the causes, each times its standard uncertainty.
  std::vector<double> sum_of(const std::array<double, kCauses.size()>& uncertainty) const {
    std::vector<double> answers;
    for (const Member& member : members) {
      double sum = 0;
      for (std::size_t i = 0; i < kCauses.size(); ++i) {
        sum += uncertainty[i] * member.z[kCauses[i].first];
      }
      answers.push_back(sum);
    }
    return answers;
  }
};

double combined(const ErrorBudget& budget) {
  double squares = 0;
  for (const double part : budget) squares += part * part;
  return std::sqrt(squares);
}

/// A gauge block's length [GUM, H.1], with the components in nm as worked out in [GtcH1]: the
/// standard, the block's temperature, the comparator's systematic and random errors and readings,
/// and expansion combine to 32 nm; each is found again as its cause's.
TEST(ErrorBudget, combines_as_the_end_gauge_of_the_GUM) {
  constexpr std::array<double, 6> kGauge = {25.0, 16.599, 6.7, 5.8, 3.9, 2.88679};
  const Members drawn(4096);
  const ErrorBudget budget = budget_of(drawn.sum_of(kGauge), drawn.weights,
                                       made_independent(drawn.differences(), drawn.weights));
  EXPECT_NEAR(combined(budget), 32, 0.5);
  for (std::size_t i = 0; i < kGauge.size(); ++i) {
    EXPECT_NEAR(budget[kCauses[i].second], kGauge[i], 0.6) << i;
  }
  EXPECT_NEAR(budget[ErrorCause::clipping], 0, 1e-6) << "nothing is left without a cause";
}

/// Four standard normal quantities added: the 95 % interval is [-3.92, 3.92] [GUM-S1, 9.2.2];
/// figures from memory, not read in a copy.
TEST(ErrorBudget, quantiles_add_as_the_additive_model_of_the_GUM_supplement) {
  const Members drawn(4096);
  const auto found =
      weighted_quantiles(drawn.sum_of({1, 1, 1, 1, 0, 0}), drawn.weights, std::array{0.025, 0.975});
  EXPECT_NEAR(found[0], -3.92, 0.1);
  EXPECT_NEAR(found[1], 3.92, 0.1);
}

/// Fully correlated uncertainties add as they are: ten resistors calibrated against one standard,
/// 0.1 ohm each, have 1.0 ohm together [GUM, 5.2.2 example]. Their one error is its first cause's.
TEST(ErrorBudget, shared_errors_add_as_the_ten_resistors_of_the_GUM) {
  const Members drawn(256);
  std::vector<Difference> resistors;
  std::vector<double> sum(drawn.members.size());
  for (int i = 0; i < 10; ++i) {
    const ErrorCause cause = i == 0 ? ErrorCause::contrast : ErrorCause::response;
    Difference& one = resistors.emplace_back(Difference{cause, {}});
    for (std::size_t m = 0; m < sum.size(); ++m) {
      one.value.push_back(drawn.members[m].z[Latent::contrast]);
      sum[m] += 0.1 * one.value.back();
    }
  }
  const ErrorBudget budget =
      budget_of(sum, drawn.weights, made_independent(resistors, drawn.weights));
  EXPECT_NEAR(budget[ErrorCause::contrast], 1.0, 0.05);
  EXPECT_EQ(budget[ErrorCause::response], 0);
}

/// What no cause explains is the frame's own.
TEST(ErrorBudget, the_rest_is_the_frames_own) {
  const Members drawn(256);
  std::vector<double> answer = drawn.sum_of({0, 0, 0.3, 0, 0, 0});
  for (std::size_t m = 0; m < answer.size(); ++m) {
    answer[m] += 0.4 * drawn.members[m].z[Latent::toe];
  }
  const ErrorBudget budget =
      budget_of(answer, drawn.weights, made_independent(drawn.differences(), drawn.weights));
  EXPECT_NEAR(budget[ErrorCause::contrast], 0.3, 0.05);
  EXPECT_NEAR(budget[ErrorCause::clipping], 0.4, 0.05);
}

}  // namespace
}  // namespace basefog::ensemble

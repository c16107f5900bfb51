// SPDX-License-Identifier: GPL-3.0-or-later
// Importance sampling over two draws against a closed form and against a grid.
#include "ensemble/member.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>

#include "ensemble/weights.hpp"

namespace basefog::ensemble {
namespace {

using LogLikelihood = std::function<double(const Member&)>;

/// Members of both draws with their weights.
struct Drawn {
  std::vector<Member> members;
  std::vector<double> weights;

  std::vector<double> values(Latent latent) const {
    std::vector<double> result;
    for (const Member& member : members) result.push_back(member.z[latent]);
    return result;
  }
  double mean(Latent latent) const {
    double sum = 0;
    for (std::size_t i = 0; i < members.size(); ++i) sum += weights[i] * members[i].z[latent];
    return sum;
  }
  double covariance(Latent a, Latent b) const {
    double sum = 0;
    for (std::size_t i = 0; i < members.size(); ++i) {
      sum += weights[i] * (members[i].z[a] - mean(a)) * (members[i].z[b] - mean(b));
    }
    return sum;
  }
};

EnumArray<Latent, bool> all_used() {
  EnumArray<Latent, bool> used;
  used.values.fill(true);
  return used;
}

Drawn draw(const LogLikelihood& log_likelihood, const EnumArray<Latent, bool>& used = all_used()) {
  Drawn drawn{draw_from_prior(128), {}};
  const auto logs = [&] {
    std::vector<double> result;
    for (const Member& member : drawn.members) {
      result.push_back(log_likelihood(member) - member.log_density);
    }
    return result;
  };
  draw_again(drawn.members, logs(), used);
  drawn.weights = normalised(logs());
  return drawn;
}

TEST(Members, of_the_prior_are_standard_normal) {
  const std::vector<Member> members = draw_from_prior(256);
  for (const Latent latent : every<Latent>()) {
    double sum = 0;
    double squares = 0;
    for (const Member& member : members) {
      sum += member.z[latent];
      squares += member.z[latent] * member.z[latent];
    }
    EXPECT_NEAR(sum / 256, 0, 0.05);
    EXPECT_NEAR(squares / 256, 1, 0.1);
  }
}

// A linear observation y = z1 + z2 / 2 with normal noise s: the posterior is normal, with mean
// a y / v and covariance I - a a' / v, v = a'a + s^2 (conditioning of a joint normal distribution,
// as in [Rasmussen2006], A.6).
TEST(Members, agree_with_the_closed_form_of_a_linear_observation) {
  constexpr double kSeen = 1.4;
  for (const double noise : {0.5, 0.15}) {
    const Drawn drawn = draw([&](const Member& member) {
      const double error =
          (member.z[Latent::contrast] + member.z[Latent::shoulder] / 2 - kSeen) / noise;
      return -error * error / 2;
    });
    const double v = 1.25 + noise * noise;
    EXPECT_NEAR(drawn.mean(Latent::contrast), kSeen / v, 0.07) << noise;
    EXPECT_NEAR(drawn.mean(Latent::shoulder), kSeen / 2 / v, 0.1) << noise;
    EXPECT_NEAR(drawn.mean(Latent::toe), 0, 0.12) << noise;
    EXPECT_NEAR(drawn.covariance(Latent::contrast, Latent::contrast), 1 - 1 / v, 0.06) << noise;
    EXPECT_NEAR(drawn.covariance(Latent::contrast, Latent::shoulder), -0.5 / v, 0.1) << noise;
    EXPECT_NEAR(drawn.covariance(Latent::toe, Latent::toe), 1, 0.3) << noise;
    // A single draw would be left with a share of about noise / 1.6 of its members.
    EXPECT_GT(effective_number(drawn.weights), 30) << noise;
  }
}

// A likelihood with a bend, summed over a fine grid.
TEST(Members, agree_with_a_grid_where_the_likelihood_is_not_normal) {
  const auto log_likelihood = [](double contrast, double toe) {
    const double error = (contrast + 0.2 * contrast * contrast + 0.3 * toe - 0.6) / 0.3;
    return -2 * std::log1p(error * error / 3);
  };
  std::vector<double> values;
  std::vector<double> logs;
  for (double contrast = -5; contrast <= 5; contrast += 0.02) {
    for (double toe = -5; toe <= 5; toe += 0.1) {
      values.push_back(contrast);
      logs.push_back(log_likelihood(contrast, toe) - (contrast * contrast + toe * toe) / 2);
    }
  }
  const std::vector<double> grid = normalised(logs);
  const Drawn drawn = draw([&](const Member& member) {
    return log_likelihood(member.z[Latent::contrast], member.z[Latent::toe]);
  });
  for (const double share : {0.1, 0.5, 0.9}) {
    EXPECT_NEAR(weighted_quantiles(drawn.values(Latent::contrast), drawn.weights, std::array{share})
                    .front(),
                weighted_quantiles(values, grid, std::array{share}).front(), 0.15)
        << share;
  }
}

TEST(Members, leave_latents_that_are_not_used_to_the_prior) {
  EnumArray<Latent, bool> used = all_used();
  used[Latent::blue_place] = false;
  const Drawn drawn = draw(
      [](const Member& member) {
        const double error = (member.z[Latent::contrast] - 1) / 0.1;
        return -error * error / 2;
      },
      used);
  double squares = 0;
  for (std::size_t i = 128; i < 256; ++i) {
    squares += std::pow(drawn.members[i].z[Latent::blue_place], 2) / 128;
  }
  EXPECT_NEAR(squares, 1, 0.15);
}

}  // namespace
}  // namespace basefog::ensemble

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/film_evidence.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "ensemble/member_film.hpp"

namespace basefog::ensemble {
namespace {

using film::FilmParameter;

/// ln of a likelihood under which contrast is 1.2 sigmas up to 0.5, and the shoulder goes with it.
double log_likelihood(const Member& member) {
  const double c = member.z[Latent::contrast] - 1.2;
  const double s = member.z[Latent::shoulder];
  return -c * c / (2 * 0.25) - 0.4 * c * s - 0.3 * s * s;
}

std::vector<double> over(const std::vector<Member>& members) {
  std::vector<double> logs;
  for (const Member& member : members) logs.push_back(log_likelihood(member));
  return logs;
}

TEST(FilmEvidence, a_quadratic_is_found) {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  std::vector<Member> members = draw_from_prior(128);
  draw_again(members, over(members), latents_of(false));
  const film::FilmEvidence found = film_evidence(members, over(members), latents_of(false), film);
  const double c = film.contrast_relative_sigma;
  const double s = film.shoulder_sigma_stops;
  const auto& information = found.information;
  EXPECT_NEAR(information[FilmParameter::contrast][FilmParameter::contrast] * c * c, 4, 0.1);
  EXPECT_NEAR(information[FilmParameter::contrast][FilmParameter::shoulder] * c * s, 0.4, 0.02);
  EXPECT_NEAR(information[FilmParameter::shoulder][FilmParameter::shoulder] * s * s, 0.6, 0.02);
  EXPECT_NEAR(found.toward[FilmParameter::contrast] * c, 4 * 1.2, 0.1);
  EXPECT_NEAR(found.toward[FilmParameter::shoulder] * s, 0.4 * 1.2, 0.03);
  EXPECT_NEAR(information[FilmParameter::toe][FilmParameter::toe], 0, 0.5);
}

TEST(FilmEvidence, of_the_upper_part_is_counted_as_a_stretch) {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const std::vector<Member> members = draw_from_prior(256);
  std::vector<double> logs;
  for (const Member& member : members) {
    const double off = member.z[Latent::upper_gradient] - 0.8;
    logs.push_back(-off * off / (2 * 0.5));
  }
  const film::FilmEvidence found = film_evidence(members, logs, latents_of(false), film);
  const double s = film.upper_gradient_sigma;
  constexpr auto kUpper = FilmParameter::upper_part;
  EXPECT_NEAR(found.information[kUpper][kUpper] * s * s, 2, 0.1);
  EXPECT_NEAR(found.toward[kUpper] * s, 1.6, 0.1);
}

// A latent of the scans that the likelihood mixes with contrast is integrated over: 1/2 (c + r)^2
// seen to 0.5 says of c alone 1 / (0.25 + 1).
TEST(FilmEvidence, what_is_of_the_scans_is_integrated_over) {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const std::vector<Member> members = draw_from_prior(256);
  std::vector<double> logs;
  for (const Member& member : members) {
    const double sum = member.z[Latent::contrast] + member.z[Latent::response];
    logs.push_back(-sum * sum / (2 * 0.25));
  }
  const film::FilmEvidence found = film_evidence(members, logs, latents_of(false), film);
  const double c = film.contrast_relative_sigma;
  EXPECT_NEAR(found.information[FilmParameter::contrast][FilmParameter::contrast] * c * c, 0.8,
              0.02);
}

TEST(FilmEvidence, a_likelihood_that_is_the_same_everywhere_says_nothing) {
  const film::FilmProfile film = film::generic_colour_negative(FilmSpeed(400));
  const std::vector<Member> members = draw_from_prior(256);
  const film::FilmEvidence found =
      film_evidence(members, std::vector<double>(256, -3.0), latents_of(true), film);
  EXPECT_TRUE(film::is_evidence(found));
  for (const FilmParameter parameter : every<FilmParameter>()) {
    EXPECT_NEAR(found.information[parameter][parameter], 0, 1e-6);
  }
}

}  // namespace
}  // namespace basefog::ensemble

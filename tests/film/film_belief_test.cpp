// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/film_belief.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace basefog::film {
namespace {

using enum FilmParameter;

FilmEvidence seen(FilmParameter parameter, double value, double sigma) {
  FilmEvidence evidence;
  evidence.information[parameter][parameter] = 1 / (sigma * sigma);
  evidence.toward[parameter] = value / (sigma * sigma);
  return evidence;
}

TEST(FilmBelief, a_form_knows_itself_by_its_sigmas) {
  const FilmProfile film = generic_colour_negative(FilmSpeed(200));
  const FilmBelief belief = belief_in(film);
  EXPECT_NEAR(belief.sigma(contrast), film.contrast_relative_sigma, 1e-12);
  EXPECT_NEAR(belief.sigma(shoulder), film.shoulder_sigma_stops, 1e-12);
  EXPECT_NEAR(belief.sigma(blue_place), film.layer_place_sigma, 1e-12);
}

// Two normal distributions of means 0 and 0.2, both 0.1 wide, make one of 0.1 and 0.0707.
TEST(FilmBelief, evidence_multiplies_in) {
  const FilmProfile film = generic_black_and_white(FilmSpeed(400));
  const FilmBelief after = given(belief_in(film), seen(contrast, 0.2, 0.1));
  EXPECT_NEAR(after.mean[contrast], 0.1, 1e-9);
  EXPECT_NEAR(after.sigma(contrast), 0.1 / std::sqrt(2), 1e-9);
  EXPECT_NEAR(after.sigma(toe), belief_in(film).sigma(toe), 1e-12);
}

TEST(FilmBelief, what_was_said_is_found_between_two_beliefs) {
  const FilmBelief before = belief_in(generic_black_and_white(FilmSpeed(400)));
  FilmEvidence evidence = seen(contrast, 0.15, 0.04);
  evidence += seen(shoulder, -0.5, 0.7);
  evidence.information[contrast][shoulder] = evidence.information[shoulder][contrast] = 12;
  const FilmEvidence found = evidence_between(before, given(before, evidence));
  for (const FilmParameter a : every<FilmParameter>()) {
    EXPECT_NEAR(found.toward[a], evidence.toward[a], 1e-6);
    for (const FilmParameter b : every<FilmParameter>()) {
      EXPECT_NEAR(found.information[a][b], evidence.information[a][b], 1e-5);
    }
  }
}

// A film at 0.3 that is seen 0.1 harder than believed lies at 0.4.
TEST(FilmBelief, evidence_moves_with_what_it_was_counted_from) {
  FilmNumbers place{};
  place[contrast] = 0.3;
  const FilmEvidence moved = counted_from(seen(contrast, 0.1, 0.05), place);
  EXPECT_NEAR(moved.toward[contrast] / moved.information[contrast][contrast], 0.4, 1e-12);
}

TEST(FilmBelief, a_believed_film_has_the_belief_in_its_curves) {
  const FilmProfile form = generic_colour_negative(FilmSpeed(400));
  FilmBelief belief = belief_in(form);
  belief.mean[contrast] = 0.1;
  belief.mean[blue_place] = 0.3;
  belief.mean[red_gradient] = -0.05;
  belief.covariance[contrast][contrast] = 0.02 * 0.02;
  const FilmProfile film = believed(form, belief);
  const auto gradient = [](const FilmProfile& one, std::size_t layer) {
    return one.layers[layer].curve.average_gradient();
  };
  EXPECT_NEAR(gradient(film, 1) / gradient(form, 1), std::exp(0.1), 1e-3);
  EXPECT_NEAR(gradient(film, 0) / gradient(form, 0), std::exp(0.05), 1e-3);
  EXPECT_NEAR(film.contrast_relative_sigma, 0.02, 1e-12);
  // The blue layer is as dense a third of a stop farther up as one of its contrast was.
  const auto blue = form.layers[2].curve.with_contrast(std::exp(0.1));
  EXPECT_NEAR(film.layers[2].curve.density(Stops(4.3)).value(), blue.density(Stops(4)).value(),
              1e-4);
}

TEST(FilmBelief, a_fingerprint_is_of_curves_alone) {
  FilmProfile film = generic_black_and_white(FilmSpeed(400));
  const std::string before = fingerprint(film);
  film.iso_speed = FilmSpeed(100);
  film.contrast_relative_sigma = 0.01;
  EXPECT_EQ(fingerprint(film), before);
  EXPECT_NE(fingerprint(film.with_contrast(1.02)), before);
  EXPECT_NE(fingerprint(generic_chromogenic(FilmSpeed(400))), before);
}

TEST(FilmBelief, what_cannot_be_evidence_is_known) {
  FilmEvidence evidence = seen(contrast, 0.1, 0.05);
  EXPECT_TRUE(is_evidence(evidence));
  evidence.information[contrast][toe] = 3;
  EXPECT_FALSE(is_evidence(evidence)) << "not symmetric";
  evidence.information[toe][contrast] = 3;
  EXPECT_FALSE(is_evidence(evidence)) << "an eigenvalue below zero";
  evidence = {};
  evidence.toward[toe] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(is_evidence(evidence));
}

}  // namespace
}  // namespace basefog::film

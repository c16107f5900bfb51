// SPDX-License-Identifier: GPL-3.0-or-later
// Facts about film that must agree with each other, whichever of them is changed.
#include "basefog/core/film_facts.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace basefog::film_facts {
namespace {

TEST(FilmFacts, usual_clear_film_lies_within_what_clear_film_may_have) {
  EXPECT_TRUE(kGrayBaseRange.holds(kGrayBase));
  EXPECT_TRUE(kGrayBaseRange.holds(0.20));  // roll film [KodakF4017]
  double most = 0;
  for (std::size_t c = 0; c < kMaskedBase.size(); ++c) {
    EXPECT_TRUE(kMaskedBaseRange[c].holds(kMaskedBase[c])) << c;
    most += kMaskedBaseRange[c].most / 3;
  }
  EXPECT_GE(kBaseStep.most, most);
  EXPECT_LT(kMostGrayBaseStep, kGrayBaseRange.most);
  EXPECT_LT(kClearestFilm, kGrayBaseRange.least);
  EXPECT_GT(kHighFog, kGrayBase);
}

TEST(FilmFacts, gray_film_is_not_taken_for_masked_film_nor_masked_for_gray) {
  // Published masks [KodakE4050, KodakE4051, KodakE4046].
  const double mask = kMaskedBase[2] - kMaskedBase[0];
  EXPECT_NEAR(mask, 0.70, 0.07);
  EXPECT_LT(kLeastMaskOfStep, kLeastMaskOfFilm);
  EXPECT_LE(kLeastMaskOfFilm, 0.77 / 2);
  EXPECT_FALSE(kGrayBaseRange.holds(kMaskedBase[2]));
  EXPECT_FALSE(kMaskedBaseRange[2].holds(kGrayBase));
}

TEST(FilmFacts, generic_toes_are_as_long_as_published_ones) {
  // The middle of 0.12 [StepWedge] and 0.40 [PhotrioSoftplus] in their logarithm.
  EXPECT_NEAR(kFittedToeWidth, std::sqrt(0.12 * 0.40), 0.005);
  EXPECT_NEAR(std::log(kSilverToeWidth / kFittedToeWidth), 0, kLogToeWidthSigma);
  EXPECT_GT(kDyeToeWidth, kSilverToeWidth);
  EXPECT_LT(kShortestToe, kShortestToeTried);
  EXPECT_LT(kLongestToeTried, kLongestToe);
  // A monotone cubic's slope at an end is less than three times its mean [FritschCarlson].
  EXPECT_LT(1 / (1 + kShortestToe), 3);
}

}  // namespace
}  // namespace basefog::film_facts

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/advice_wording.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

StopsEstimate between(double value, double low, double high) {
  return {Stops(value), Stops(low), Stops(high)};
}

meter::BiasEffect effect(meter::BiasFactor factor, const char* level, const StopsEstimate& stops) {
  return {.factor = factor, .level = level, .stops = stops, .frames = 5};
}

const roll::SeenError kOver{{Stops(1), Stops(0.9), Stops(1.1)}, 24};

TEST(AdviceWording, levels_by_name) {
  const meter::BiasEffect slow = effect(meter::BiasFactor::shutter, "1/15", between(0.7, 0.5, 0.9));
  const roll::CheckAperture small{
      effect(meter::BiasFactor::aperture, "f/16", between(-0.5, -0.7, -0.3))};
  EXPECT_EQ(advice_words(small).text(),
            "Look at f/16: it gives 0.5 stop too little. Do the blades close and open freely?");
  EXPECT_EQ(advice_words(small).evidence, "-0.5 (-0.7 to -0.3) over 5 frames");
  EXPECT_EQ(advice_words(
                roll::CheckLens{effect(meter::BiasFactor::lens, "long", between(-0.6, -0.8, -0.4))})
                .text(),
            "Check the lens \"long\": with it the film gets 0.6 stop less than with the others. "
            "Sticking blades, haze, or a filter that the log leaves out do this.");
  EXPECT_EQ(advice_words(roll::TestLevel{slow, 3}).text(),
            "3 more frames at 1/15 would settle whether it is off.");
  EXPECT_EQ(advice_words(roll::TestLevel{slow, 1}).text(),
            "1 more frame at 1/15 would settle whether it is off.");
}

TEST(AdviceWording, a_cell_or_a_battery) {
  const meter::BiasEffect slope =
      effect(meter::BiasFactor::light_level, "per EV", between(0.2, 0.15, 0.25));
  const AdviceWords words = advice_words(roll::CheckCell{slope, "alkaline"});
  EXPECT_EQ(words.text(),
            "The meter gives 0.20 stop more for each EV of brighter light: a worn cell or a "
            "battery of the wrong voltage does this. Try a fresh battery of the right kind (the "
            "camera file says alkaline) and another roll; if it stays, have the meter looked at.");
  EXPECT_EQ(words.evidence, "+0.20 (+0.15 to +0.25) stop per EV over 5 frames");
  EXPECT_EQ(advice_words(roll::CheckDrift{{between(-0.9, -1.2, -0.6), 100}, 270}).evidence,
            "-0.9 (-1.2 to -0.6) over 100 frames in 270 days");
}

TEST(AdviceWording, service_names_each_reason) {
  const roll::HaveServiced service{.speed_far_off = true,
                                   .speeds_off = 3,
                                   .camera_far_off = true,
                                   .scatter = 0.7,
                                   .bias = kOver};
  EXPECT_EQ(advice_words(service).text(),
            "Have the camera serviced rather than correct for it: a speed is off by a stop and a "
            "half or more, 3 speeds are off, the whole camera is off by two stops or more, frames "
            "scatter by 0.7 stop. Corrections for such errors do not last.");
}

TEST(AdviceWording, the_caution_names_what_is_in_the_corrections) {
  EXPECT_NE(advice_words(roll::Caution{false}).text().find("the film's true speed is in it"),
            std::string::npos);
  EXPECT_EQ(advice_words(roll::Caution{true}).text(),
            "The plan holds for this meter with this film, development and scanner. Other "
            "makers' meters may read up to a third of a stop otherwise, by their constant K.");
}

TEST(AdviceWording, sentences_carry_their_evidence) {
  EXPECT_EQ(
      advice_sentences({roll::ScanAgain{roll::ScanFault::without_zero, 2, 12}, roll::Caution{true}})
          .front(),
      "Scan with a strip of clear rebate in view and the scanner's exposure locked. [2 of 12 "
      "frames have no density zero]");
  EXPECT_EQ(advice_words(roll::TestContrast{0.1}).evidence,
            "contrast is generic, uncertain by 10 %");
}

}  // namespace
}  // namespace basefog::report

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

TEST(AdviceWording, a_dial_to_set) {
  const AdviceWords words = advice_words(roll::DialIndex{FilmSpeed(400), FilmSpeed(800), kOver});
  EXPECT_EQ(words.text(),
            "Set the dial to 800 instead of 400: the camera gives 1.0 stop too much.");
  EXPECT_EQ(words.setting, "800");
  EXPECT_EQ(words.set, "EI 800");
  EXPECT_EQ(words.evidence, "+1.0 (+0.9 to +1.1) over 24 frames");
}

TEST(AdviceWording, compensation_where_the_dial_has_no_nearer_mark) {
  const AdviceWords words = advice_words(roll::DialCompensation{FilmSpeed(400), kOver});
  EXPECT_EQ(words.text(),
            "Leave the dial at 400 and set compensation -1, or allow for it by hand: the camera "
            "gives 1.0 stop too much, and the dial has no mark that is nearer.");
  EXPECT_EQ(words.set, "compensation -1");
}

TEST(AdviceWording, what_could_hide_is_said) {
  roll::NothingToChange nothing{.bias = {between(0.3, -0.9, 1.5), 6}, .could_hide = Stops(1.5)};
  EXPECT_EQ(advice_words(nothing).text(),
            "Nothing to change: no error of the camera shows, though one of up to 1.5 stops could "
            "hide.");
  nothing.could_hide.reset();
  EXPECT_EQ(advice_words(nothing).text(),
            "Nothing to change: the camera did what the log asked for.");
}

TEST(AdviceWording, levels_by_name) {
  const meter::BiasEffect slow = effect(meter::BiasFactor::shutter, "1/15", between(0.7, 0.5, 0.9));
  EXPECT_EQ(advice_words(roll::AllowForSpeed{slow}).text(),
            "Allow for 1/15: it gives 0.7 stop too much.");
  EXPECT_EQ(advice_words(roll::AvoidSpeed{slow}).text(), "Avoid 1/15: it gives 0.7 stop too much.");
  EXPECT_EQ(advice_words(roll::AvoidSpeed{slow}).evidence, "+0.7 (+0.5 to +0.9) over 5 frames");
  EXPECT_EQ(advice_words(roll::AllowForAperture{effect(meter::BiasFactor::aperture, "f/16",
                                                       between(-0.5, -0.7, -0.3))})
                .text(),
            "Allow for f/16: it gives 0.5 stop too little. Look whether the blades close and open "
            "freely.");
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

TEST(AdviceWording, scenes_with_what_was_dialled) {
  roll::MeterScene scene{
      .technique = {
          .scene = "backlit", .stops = between(1.35, 0.8, 1.9), .asked = Stops(0), .frames = 5}};
  EXPECT_EQ(advice_words(scene).text(), "Dial +1 1/3 beyond the meter for backlit.");
  scene.technique.asked = Stops(0.6);
  EXPECT_EQ(advice_words(scene).text(),
            "Dial +1 1/3 beyond the meter for backlit. On this roll it was +2/3.");
  scene.already_done = true;
  EXPECT_EQ(advice_words(scene).text(), "Go on dialling +1 1/3 for backlit.");
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

TEST(AdviceWording, a_bias_that_is_not_sure) {
  roll::TestBias test{FilmSpeed(400), FilmSpeed(250), 0.79, {between(-0.6, -1.25, 0.05), 24}};
  EXPECT_EQ(advice_words(test).text(),
            "The camera may give 0.6 stop too little: with a chance of 79 % 250 on the dial is a "
            "better guess than 400. Another roll, a film test, or one view bracketed would tell.");
  test.index = test.dialled;
  EXPECT_EQ(advice_words(test).text(),
            "The camera may give 0.6 stop too little, which is not sure yet. Another roll, a film "
            "test, or one view bracketed would tell.");
  EXPECT_EQ(advice_words(test).set, "");
}

TEST(AdviceWording, the_caution_names_what_is_in_the_corrections) {
  EXPECT_NE(advice_words(roll::Caution{false}).text().find("the film's true speed is in them"),
            std::string::npos);
  EXPECT_EQ(advice_words(roll::Caution{true}).text(),
            "These corrections hold for this meter with this film, development and scanner; the "
            "meter constant K, which makers choose differently, shifts all frames by up to a third "
            "of a stop.");
}

TEST(AdviceWording, sentences_carry_their_evidence) {
  EXPECT_EQ(advice_sentences({roll::ScanWithRebate{2, 12}, roll::Caution{true}}).front(),
            "Scan with a strip of clear rebate in view and the scanner's exposure locked. [2 of 12 "
            "frames have no density zero]");
  EXPECT_EQ(advice_words(roll::TestContrast{0.1}).evidence,
            "contrast is generic, uncertain by 10 %");
}

}  // namespace
}  // namespace basefog::report

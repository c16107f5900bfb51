// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/settings.hpp"

#include <gtest/gtest.h>

#include <utility>
#include <vector>

namespace basefog {
namespace {

// [APEX]: Av 0..10 for N 1..32, Tv 0..10 for t 1..1/1000 s, nominal marks.
TEST(Settings, exact_marks_match_APEX) {
  const double n[] = {1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32};
  const double t[] = {1,        1 / 2.0,   1 / 4.0,   1 / 8.0,   1 / 15.0,  1 / 30.0,
                      1 / 60.0, 1 / 125.0, 1 / 250.0, 1 / 500.0, 1 / 1000.0};
  for (int i = 0; i <= 10; ++i) {
    EXPECT_NEAR(exact(FNumber(n[i])).aperture_value(), i, 1e-9) << n[i];
    EXPECT_NEAR(exact(ShutterTime(t[i])).time_value(), i, 1e-9) << t[i];
  }
}

// [Exif, Annex C] (from memory): Sv of ISO 3, 6, 12, 25, 50, 100, 200, 400 is 0..7.
TEST(Settings, speed_values_match_Exif) {
  EXPECT_NEAR(FilmSpeed(100).speed_value(), 5, 1e-12);
  EXPECT_NEAR(FilmSpeed(400).speed_value(), 7, 1e-12);
  EXPECT_NEAR(exact(FilmSpeed(25)).speed_value(), 3, 1e-12);
}

// [DustyNegatives]: exact third stops between f/1 and f/22.
TEST(Settings, third_stop_apertures_match_published_series) {
  const std::vector<std::pair<double, double>> marks = {
      {1.1, 1.12246}, {1.8, 1.78180}, {2.2, 2.24492}, {2.5, 2.51984}, {3.2, 3.17480},
      {3.5, 3.56359}, {4.5, 4.48985}, {5, 5.03968},   {6.3, 6.34960}, {7.1, 7.12719},
      {9, 8.97970},   {10, 10.07937}, {13, 12.69921}, {14, 14.25438}, {18, 17.95939},
      {20, 20.1587},  {22, 22.62742}};
  for (auto [mark, value] : marks) EXPECT_NEAR(exact(FNumber(mark)).value(), value, 6e-5) << mark;
}

// Half-stop marks of the same series [Kamerarkasi]: 1.7 and 6.7 are 2^(3/4) and 2^(11/4).
TEST(Settings, half_stop_apertures_are_known) {
  EXPECT_NEAR(exact(FNumber(1.7)).value(), 1.68179, 1e-5);
  EXPECT_NEAR(exact(FNumber(6.7)).value(), 6.72717, 1e-5);
  EXPECT_NEAR(exact(ShutterTime(1 / 90.0)).seconds(), 1 / 90.51, 1e-5);
}

// [ISO6] speeds in degrees: 25/15, 64/19, 100/21, 125/22, 200/24, 400/27, 3200/36.
TEST(Settings, degrees_match_ISO6) {
  const std::vector<std::pair<double, int>> speeds = {{25, 15},  {64, 19},  {100, 21}, {125, 22},
                                                      {200, 24}, {400, 27}, {3200, 36}};
  for (auto [iso, degrees] : speeds) {
    EXPECT_EQ(std::lround(FilmSpeed(iso).degrees()), degrees);
    EXPECT_NEAR(FilmSpeed::from_degrees(degrees).iso(), iso, 0.03 * iso);
  }
}

TEST(Settings, nearest_marked_speed_is_what_a_dial_carries) {
  const std::vector<std::pair<double, double>> speeds = {{400 * std::exp2(-2 / 3.0), 250},
                                                         {400 * std::exp2(1 / 3.0), 500},
                                                         {126, 125},
                                                         {3150, 3200},
                                                         {50, 50},
                                                         {63, 64},
                                                         {12.6, 12},
                                                         {6300, 6400},
                                                         {12700, 12800}};
  for (auto [speed, mark] : speeds) {
    EXPECT_DOUBLE_EQ(nearest_marked(FilmSpeed(speed)).iso(), mark);
  }
}

// [PhotrioMeter]: H = 8.125/S; [ISO2720] K 12.5 against 14 is 0.163 stop.
TEST(Aim, matches_metered_exposure) {
  Aim aim{.film_speed = FilmSpeed(125)};
  EXPECT_NEAR(aim.lux_seconds(), 0.065, 1e-12);
  Aim other = aim;
  other.k = 14;
  EXPECT_NEAR((other.log_exposure() - aim.log_exposure()).value(), 0.163, 5e-4);
}

// [PH2.7]: a typical scene in full sun is EV 15; 1/125 at f/16 on ISO 100 meters it to 0.03
// (nominal), 1/60 at f/2.8 on 400 is EV 7, a home interior.
TEST(Settings, exposure_values_match_PH2_7) {
  EXPECT_NEAR(exposure_value_100(ShutterTime(1 / 125.0), FNumber(16), FilmSpeed(100)), 15, 1e-9);
  EXPECT_NEAR(exposure_value_100(ShutterTime(1 / 60.0), FNumber(2.8), FilmSpeed(400)), 7, 1e-9);
}

// Common practice: f/4 to f/2.8 is one stop more; half the time one less.
TEST(Settings, exposure_change_counts_in_stops) {
  const ShutterTime t(1 / 125.0);
  EXPECT_NEAR(exposure_change(t, FNumber(2.8), t, FNumber(4)).value(), 1, 1e-9);
  EXPECT_NEAR(exposure_change(ShutterTime(1 / 250.0), FNumber(4), t, FNumber(4)).value(), -1, 1e-9);
}

// 1/3 s and 3 s are of half-stop series alone [Exif, Annex C: Tv 1.5]; the third stops are 0.3 s
// and 3.2 s (common practice).
TEST(Settings, one_third_of_a_second_is_a_half_stop) {
  EXPECT_NEAR(exact(ShutterTime(1 / 3.0)).time_value(), 1.5, 1e-9);
  EXPECT_NEAR(exact(ShutterTime(3)).time_value(), -1.5, 1e-9);
  EXPECT_NEAR(exact(ShutterTime(0.3)).time_value(), 5 / 3.0, 1e-9);
}

TEST(Settings, exact_half_stops_read_as_engraved) {
  EXPECT_EQ(as_marked(ShutterTime(std::exp2(-3.5))), "1/10");
  EXPECT_EQ(as_marked(ShutterTime(std::exp2(-1.5))), "1/3");
  EXPECT_EQ(as_marked(ShutterTime(std::exp2(4.5))), "20 s");
  EXPECT_EQ(as_marked(FNumber(std::exp2(3.75))), "f/13");
}

TEST(Settings, marks_read_as_engraved) {
  EXPECT_EQ(as_marked(ShutterTime(1 / 60.0)), "1/60");
  EXPECT_EQ(as_marked(ShutterTime(1 / 8000.0)), "1/8000");
  EXPECT_EQ(as_marked(ShutterTime(0.5)), "0.5 s");
  EXPECT_EQ(as_marked(ShutterTime(30)), "30 s");
  EXPECT_EQ(as_marked(FNumber(5.6)), "f/5.6");
  EXPECT_EQ(as_marked(FilmSpeed(400)), "400");
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/scene_light.hpp"

#include <gtest/gtest.h>

#include <string_view>
#include <utility>
#include <vector>

namespace basefog::log {
namespace {

StopsEstimate within_half(double ev) { return {Stops(ev), Stops(ev - 0.5), Stops(ev + 0.5)}; }

TEST(SceneLight, holds_the_tables_values) {
  // [PH2.7]: what a log may say, and the EV at ISO 100 that the table gives for it.
  const std::vector<std::pair<std::string_view, double>> table = {{"Full sun", 15},
                                                                  {"snow in full sun", 16},
                                                                  {"hazy sun", 14},
                                                                  {"cloudy bright", 13},
                                                                  {"heavy overcast", 12},
                                                                  {"open shade", 12},
                                                                  {"just before sunset", 13},
                                                                  {"just after sunset", 10},
                                                                  {"neon signs", 9.5},
                                                                  {"night sports", 9},
                                                                  {"Night street", 8},
                                                                  {"amusement park", 7},
                                                                  {"night traffic", 5},
                                                                  {"floodlit castle", 4},
                                                                  {"distant lights", 2},
                                                                  {"stage show", 8.5},
                                                                  {"office", 7.5},
                                                                  {"living room", 6},
                                                                  {"gallery", 9},
                                                                  {"landscape, full moon", -2.5},
                                                                  {"quarter moon", -6},
                                                                  {"rainbow", 15},
                                                                  {"christmas tree", 4.5}};
  for (const auto& [words, ev] : table) {
    const auto light = scene_light_of(words);
    ASSERT_TRUE(light) << words;
    EXPECT_LE(light->lowest_ev, ev) << words;
    EXPECT_GE(light->highest_ev, ev) << words;
    EXPECT_LE(light->highest_ev - light->lowest_ev, 6) << words;
    EXPECT_FALSE(words_disagree(*light, within_half(ev))) << words;
  }
}

TEST(SceneLight, light_from_behind_gives_up_to_two_stops_less) {  // [PH2.7, note]
  EXPECT_EQ(scene_light_of("full sun, backlit")->lowest_ev,
            scene_light_of("full sun")->lowest_ev - 2);
  for (const char* words : {"portrait into the sun", "against the sun"}) {
    EXPECT_EQ(scene_light_of(words)->lowest_ev, scene_light_of("sun")->lowest_ev - 2) << words;
  }
}

TEST(SceneLight, joins_words) {
  const auto snow = scene_light_of("snow, overcast");
  EXPECT_EQ(snow->highest_ev, scene_light_of("overcast")->highest_ev);
  EXPECT_EQ(snow->lowest_ev, scene_light_of("overcast")->lowest_ev);
  const auto night_snow = scene_light_of("snow at night");
  EXPECT_LE(night_snow->lowest_ev, -3);
  EXPECT_GE(night_snow->highest_ev, 8);
}

TEST(SceneLight, knows_whole_words_only_and_denials) {
  EXPECT_FALSE(scene_light_of("sunflower on Sunday"));
  EXPECT_FALSE(scene_light_of("gate, no sun"));
  EXPECT_FALSE(scene_light_of(""));
  EXPECT_FALSE(scene_light_of("old gate"));
  EXPECT_EQ(scene_light_of("night sports")->words, "night sports");
}

TEST(SceneLight, disagrees_only_where_the_whole_interval_does) {
  const SceneLight sun = *scene_light_of("full sun");
  EXPECT_TRUE(words_disagree(sun, within_half(9)));
  EXPECT_FALSE(words_disagree(sun, within_half(13)));
  EXPECT_FALSE(words_disagree(sun, {Stops(9), Stops(8), std::nullopt}));  // at least 8
  EXPECT_TRUE(words_disagree(*scene_light_of("moonlight"), within_half(12)));
}

TEST(SceneLight, says_what_contradicts_what) {
  LogRow row;
  row.scene = "harbour, full sun";
  const auto contradiction = scene_contradiction(row, within_half(9));
  ASSERT_TRUE(contradiction);
  EXPECT_EQ(contradiction->words, (SceneLight{14.5, 16, "full sun"}));
  EXPECT_EQ(contradiction->scene_ev, within_half(9));
  EXPECT_EQ(scene_contradiction(row, within_half(15)), std::nullopt);  // EV 15 [PH2.7]
  row.flash = true;
  EXPECT_EQ(scene_contradiction(row, within_half(9)), std::nullopt);
}

TEST(SceneEv, is_that_of_the_settings_when_the_frame_is_on_the_aim) {
  LogRow row;
  const auto on_aim = from_stops<ExposureFromAim>(within_half(0));
  EXPECT_FALSE(scene_ev_100(row, FilmSpeed(100), on_aim));
  row.used = {ShutterTime(1.0 / 125), FNumber(16)};
  // f/16 at 1/125 is EV 15, a sunny scene at ISO 100 [APEX]; on ISO 400 film the scene is EV 13.
  EXPECT_NEAR(scene_ev_100(row, FilmSpeed(100), on_aim)->value.value(), 15, 1e-9);
  EXPECT_NEAR(scene_ev_100(row, FilmSpeed(400), on_aim)->value.value(), 13, 1e-9);
  // Two stops more on the film: the scene was two stops brighter than the settings were for.
  const auto brighter =
      scene_ev_100(row, FilmSpeed(400), from_stops<ExposureFromAim>(within_half(2)));
  EXPECT_NEAR(brighter->value.value(), 15, 1e-9);
  EXPECT_NEAR(brighter->low->value(), 14.5, 1e-9);
  // What a filter or reciprocity took was there in the scene.
  row.filter = Stops(3);
  EXPECT_NEAR(scene_ev_100(row, FilmSpeed(400), on_aim, Stops(1))->value.value(), 17, 1e-9);
  // The index dialled changes nothing of the scene.
  row.ei = FilmSpeed(50);
  EXPECT_NEAR(scene_ev_100(row, FilmSpeed(400), on_aim, Stops(1))->value.value(), 17, 1e-9);
  row.flash = true;
  EXPECT_FALSE(scene_ev_100(row, FilmSpeed(400), on_aim));
}

}  // namespace
}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "basefog/core/version.hpp"
#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"

namespace basefog::report {
namespace {

using Json = nlohmann::ordered_json;

std::string written(const roll::Analysis& analysis) {
  std::ostringstream out;
  write_json(out, analysis);
  return out.str();
}

Json parsed(const roll::Analysis& analysis) { return Json::parse(written(analysis)); }

std::vector<std::string> keys(const Json& object) {
  std::vector<std::string> names;
  for (const auto& [name, value] : object.items()) names.push_back(name);
  return names;
}

using Names = std::vector<std::string>;

TEST(WriteJson, top_level_names_are_the_contract) {
  const Json json = parsed(sample_analysis());
  EXPECT_EQ(keys(json),
            (Names{"schema", "program", "provenance", "aim", "film", "frames", "matching", "trend",
                   "meter", "questions", "next_roll", "advice", "warnings"}));
  EXPECT_EQ(json["program"], std::string("basefog ") + kVersion);
  EXPECT_EQ(json["schema"], "basefog.review/1");
  EXPECT_EQ(keys(json["aim"]), (Names{"lux_seconds", "k", "q", "film_speed"}));
  EXPECT_DOUBLE_EQ(json["aim"]["lux_seconds"], 0.0203125);  // 0.65 * 12.5 / 400
  EXPECT_EQ(keys(json["film"]), (Names{"name", "kind", "contrast", "speed_measured"}));
  EXPECT_EQ(json["film"]["kind"], "black_and_white");
  EXPECT_EQ(keys(json["film"]["contrast"]), (Names{"value", "ci95", "source"}));
  EXPECT_NEAR(json["film"]["contrast"]["value"], 0.615, 0.01);  // 0.80 over 1.30 log H [ISO6]
  EXPECT_EQ(json["film"]["contrast"]["source"], "generic");
}

TEST(WriteJson, has_the_trend_of_a_roll_that_is_long_enough) {
  roll::Analysis roll = sample_analysis();
  const auto measured = std::ranges::find_if(
      roll.frames, [](const roll::FrameResult& frame) { return frame.deviation.has_value(); });
  ASSERT_NE(measured, roll.frames.end());
  const roll::FrameResult frame = *measured;
  roll.frames.assign(8, frame);
  for (std::size_t i = 0; i < roll.frames.size(); ++i) {
    const Stops moved(0.1 * static_cast<double>(i));
    for (std::optional<Stops>* end :
         {&roll.frames[i].deviation->low, &roll.frames[i].deviation->high}) {
      *end = frame.deviation->value + moved;
    }
    roll.frames[i].deviation->value += moved;
  }
  const Json trend = parsed(roll)["trend"];
  EXPECT_NEAR(trend["stops"], 0.7, 1e-9);
  EXPECT_EQ(trend["frames"], 8);
  EXPECT_EQ(trend["of"], "deviation");
}

TEST(WriteJson, a_measured_frame_has_all_names) {
  const Json frame = parsed(sample_analysis())["frames"][2];
  EXPECT_EQ(keys(frame), (Names{"file",
                                "index",
                                "region",
                                "state",
                                "reference",
                                "exposure",
                                "shadow_reserve",
                                "highlight_reach",
                                "highlight_room",
                                "correction",
                                "verdict",
                                "verdict_chance",
                                "verdict_uncertain",
                                "lost",
                                "flags",
                                "log_row",
                                "logged",
                                "expected",
                                "deviation",
                                "scene_ev",
                                "technique"}));
  EXPECT_EQ(frame["region"], Json::parse("[50.0, 30.0, 1100.0, 740.0]"));
  EXPECT_EQ(frame["exposure"]["stops"], -1.4);
  EXPECT_EQ(frame["exposure"]["ci95"], Json::parse("[-1.7, -1.1]"));
  EXPECT_EQ(frame["verdict"], "under");
  EXPECT_EQ(frame["reference"],
            Json::parse(R"({"kind": "rebate", "density": 0.28, "ci95": [0.272, 0.288]})"));
  EXPECT_EQ(frame["log_row"], "2");
  EXPECT_EQ(frame["logged"], Json::parse(R"({"shutter_seconds": 0.0333333, "f_number": 2.8,
      "ei": 400.0, "mode": "aperture_priority", "scene": "arcade"})"));
  EXPECT_EQ(frame["expected"], Json::parse(R"({"stops": 0.0})"));
  EXPECT_EQ(frame["technique"], Json::parse(R"({"stops": -0.6})"));
}

TEST(WriteJson, the_open_end_of_an_interval_is_null) {
  const Json frames = parsed(sample_analysis())["frames"];
  EXPECT_EQ(frames[4]["correction"]["ci95"], Json::parse("[1.54, null]"));
  EXPECT_EQ(frames[5]["correction"]["ci95"], Json::parse("[null, -1.8]"));
  EXPECT_EQ(frames[5]["exposure"]["ci95"], Json::parse("[2.9, null]"));
}

TEST(WriteJson, what_was_not_measured_is_absent) {
  const Json json = parsed(sample_analysis());
  EXPECT_EQ(keys(json["frames"][8]), (Names{"file", "index", "state", "flags"}));
  EXPECT_EQ(json["frames"][8]["state"], "unreadable");
  for (const char* name : {"exposure", "correction", "verdict", "reference", "deviation"}) {
    EXPECT_FALSE(json["frames"][6].contains(name)) << name;
  }
  EXPECT_FALSE(json["frames"][9].contains("log_row"));
  EXPECT_FALSE(json["frames"][9].contains("expected"));
}

TEST(WriteJson, an_estimate_without_any_bound_or_finite_value_is_absent) {
  roll::Analysis analysis = sample_analysis();
  analysis.frames[1].reading->exposure.estimate = {ExposureFromAim(1.0), std::nullopt,
                                                   std::nullopt};
  analysis.frames[1].reading->shadow_reserve.estimate =
      from_stops<ExposureAboveSpeedPoint>({Stops(NAN), Stops(0), Stops(1)});
  const Json frame = parsed(analysis)["frames"][1];
  EXPECT_FALSE(frame.contains("exposure"));
  EXPECT_FALSE(frame.contains("shadow_reserve"));
}

TEST(WriteJson, zero_has_no_sign) {
  EXPECT_EQ(written(sample_analysis()).find("-0.0,"), std::string::npos);
  EXPECT_EQ(parsed(sample_analysis())["frames"][9]["correction"]["stops"].dump(), "0.0");
}

TEST(WriteJson, without_a_log_nothing_is_said_of_it) {
  const Json json = parsed(sample_analysis_without_log());
  EXPECT_FALSE(json.contains("meter"));
  EXPECT_EQ(keys(json["matching"]), (Names{"unmatched_rows", "unmatched_frames", "notes"}));
  for (const Json& frame : json["frames"]) EXPECT_FALSE(frame.contains("logged"));
}

TEST(WriteJson, matching_names_rows_as_written_and_frames_by_file) {
  const Json matching = parsed(sample_analysis())["matching"];
  EXPECT_EQ(matching["direction"], "forward");
  EXPECT_EQ(matching["unmatched_rows"], Json::parse(R"(["14"])"));
  EXPECT_EQ(matching["unmatched_frames"][0], "scans/roll07_07.tif");
}

TEST(WriteJson, colour_has_a_reference_a_channel_and_frames_of_a_strip_an_index) {
  roll::Analysis analysis = sample_colour_analysis();
  analysis.matching.emplace();
  analysis.matching->unmatched_frames = {1, 2};
  const Json json = parsed(analysis);
  EXPECT_EQ(json["frames"][1]["index"], 1);
  EXPECT_EQ(json["frames"][1]["reference"]["density"], Json::parse("[0.25, 0.57, 0.89]"));
  EXPECT_EQ(json["frames"][1]["reference"]["ci95"].size(), 3u);
  EXPECT_EQ(json["matching"]["unmatched_frames"], Json::array({"strip.tif (2)", "single.tif"}));
}

/// The layer that decides tone in colour is the green one, whatever the others are.
TEST(WriteJson, contrast_of_a_colour_film_is_its_green_layers) {
  roll::Analysis analysis = sample_colour_analysis();
  const auto layer = [](double factor) {
    return film::generic_colour_negative(FilmSpeed(200)).with_contrast(factor).layers[1];
  };
  analysis.film.layers = {layer(0.8), layer(1.1), layer(1.3)};
  const double green = analysis.film.layers[1].curve.average_gradient();
  EXPECT_NEAR(parsed(analysis)["film"]["contrast"]["value"], green, 0.001);
  EXPECT_GT(std::abs(green - analysis.film.layers[0].curve.average_gradient()), 0.1);
}

TEST(WriteJson, meter_effects_advice_and_warnings) {
  const Json json = parsed(sample_analysis());
  EXPECT_EQ(json["meter"]["effects"][2],
            Json::parse(R"({"factor": "shutter", "level": "1/500", "stops": 0.81,
                            "ci95": [0.48, 1.14], "frames": 2})"));
  EXPECT_EQ(keys(json["advice"][0]), (Names{"kind", "text", "evidence"}));
  EXPECT_EQ(keys(json["warnings"].back()), (Names{"flag", "text", "next_step"}));
}

TEST(WriteJson, the_plan_for_the_next_roll) {
  const Json plan = parsed(sample_analysis())["next_roll"];
  EXPECT_EQ(plan, Json::parse(R"({"ei": 250.0, "state": "change",
      "add": [{"shutter": "1/500", "stops": -0.667,
               "seen": {"stops": 0.75, "ci95": [0.45, 1.05]}, "frames": 4},
              {"scene": "lamps", "stops": 1.667,
               "seen": {"stops": 1.6, "ci95": [0.9, 2.3]}, "frames": 3}],
      "expected_error": {"before": 0.72, "after": 0.41}, "chance_better": 0.93})"));
}

TEST(WriteJson, hostile_text_comes_back_as_it_was_and_broken_utf8_replaced) {
  const Json json = parsed(sample_analysis());
  EXPECT_EQ(json["frames"][10]["logged"]["scene"], kHostileScene);
  EXPECT_EQ(json["frames"][10]["logged"]["note"], kHostileNote);
  const std::string file = json["frames"][8]["file"];
  EXPECT_NE(file.find("\xEF\xBF\xBD.tif"), std::string::npos);
}

}  // namespace
}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
// A film test as a photographer makes it: nine scans of a grey card and their log through the
// program, then the profile through a review.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "basefog/film/film_profile.hpp"
#include "cli/program_run.hpp"
#include "validation/grey_card_study.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;
using Json = nlohmann::json;

class CalibrateFilm : public ::testing::Test {
 protected:
  /// The scans of one simulated test in a folder of their own; seeds of this test alone.
  validation::GreyCardRoll shoot(bool trusted, bool colour = false) const {
    return validation::photograph_grey_card(
        {.seed = 90210, .colour = colour, .scatter = 0.03, .pixel_mm = 0.1, .trusted = trusted},
        trusted ? 1 : 0, folder / "card");
  }
  std::vector<std::string> words(const std::vector<std::string>& more) const {
    std::vector<std::string> all = {
        "calibrate",    "film", folder / "card", "--log", folder / "card/log.csv",
        "--film-speed", "400"};
    all.insert(all.end(), more.begin(), more.end());
    return all;
  }
  Json review_with(const std::string& profile) const {
    const ProgramRun run = run_program({"review", folder / "card", "--log", folder / "card/log.csv",
                                        "--film", profile, "--json", folder / "review.json"});
    EXPECT_EQ(run.status, 0) << run.err;
    return Json::parse(content_of(folder / "review.json"));
  }

  TestFolder folder;
};

TEST_F(CalibrateFilm, trusted_exposures_measure_speed_and_shape) {
  const validation::GreyCardRoll roll = shoot(true);
  const ProgramRun run = run_program(
      words({"--trusted-exposures", "--out", folder / "film.toml", "--plot", folder / "film.svg"}));
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("speed                   ISO"));
  const film::FilmProfile film = film::read_film_profile(folder / "film.toml");
  EXPECT_TRUE(film.speed_measured);
  EXPECT_NEAR(std::log2(film.iso_speed.iso() / 400), roll.film.speed_error_stops, 0.1);
  EXPECT_NEAR(
      film.layers.front().curve.average_gradient() / validation::true_gradient(roll.film, 0), 1,
      0.03);
  EXPECT_THAT(content_of(folder / "film.svg"), HasSubstr("<circle"));

  // The film's own speed counts from now on, whatever the box says.
  const Json json = review_with(folder / "film.toml");
  EXPECT_EQ(json["film"]["contrast"]["source"], "film test");
  EXPECT_EQ(json["film"]["speed_measured"], true);
  EXPECT_NEAR(json["aim"]["film_speed"], film.iso_speed.iso(), 0.1);
  // A true meter and a measured speed: nothing deviates.
  for (const Json& frame : json["frames"]) {
    if (!frame.contains("deviation")) continue;
    const Json& interval = frame["deviation"]["ci95"];
    if (interval[0].is_null() || interval[1].is_null()) continue;
    EXPECT_NEAR(frame["deviation"]["stops"], 0, 0.25) << frame["file"];
  }
  ASSERT_TRUE(json["meter"].contains("bias"));
  EXPECT_NEAR(json["meter"]["bias"]["stops"], 0, 0.25);
  const std::string open = json["meter"]["not_identifiable"].dump();
  EXPECT_THAT(open, HasSubstr("speed was measured apart from the meter"));
  EXPECT_THAT(open, ::testing::Not(HasSubstr("from the film's speed and")));
}

TEST_F(CalibrateFilm, camera_s_own_meter_fixes_the_shape_alone) {
  const validation::GreyCardRoll roll = shoot(false);
  const ProgramRun run = run_program(words({"--out", folder / "film.toml"}));
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("cannot be told apart"));
  const film::FilmProfile film = film::read_film_profile(folder / "film.toml");
  EXPECT_FALSE(film.speed_measured);
  EXPECT_EQ(film.iso_speed, FilmSpeed(400));
  EXPECT_NEAR(
      film.layers.front().curve.average_gradient() / validation::true_gradient(roll.film, 0), 1,
      0.03);

  const Json json = review_with(folder / "film.toml");
  EXPECT_EQ(json["film"]["speed_measured"], false);
  // Meter and film together.
  ASSERT_TRUE(json["meter"].contains("bias"));
  const double truth = roll.meter_bias + roll.film.speed_error_stops;
  EXPECT_NEAR(json["meter"]["bias"]["stops"], truth, 0.25);
  EXPECT_LE(json["meter"]["bias"]["ci95"][0], truth);
  EXPECT_GE(json["meter"]["bias"]["ci95"][1], truth);
  EXPECT_THAT(json["meter"]["not_identifiable"].dump(), HasSubstr("film's speed"));
}

TEST_F(CalibrateFilm, colour_film_gives_three_layers) {
  const validation::GreyCardRoll roll = shoot(true, true);
  const ProgramRun run = run_program(
      words({"--film", "colour", "--trusted-exposures", "--out", folder / "film.toml"}));
  ASSERT_EQ(run.status, 0) << run.err;
  const film::FilmProfile film = film::read_film_profile(folder / "film.toml");
  ASSERT_EQ(film.layers.size(), 3u);
  EXPECT_NEAR(std::log2(film.iso_speed.iso() / 400), roll.film.speed_error_stops, 0.1);
}

TEST_F(CalibrateFilm, says_what_is_missing) {
  const std::filesystem::path scans = folder / "scans";
  std::filesystem::create_directories(scans);
  for (const char* name : {"roll03_01.tif", "roll03_02.tif"}) {
    std::filesystem::rename(folder.copy_sample(name), scans / name);
  }
  const std::filesystem::path log =
      folder.write("log.csv", "frame,shutter,aperture\n1,1/125,8\n2,1/60,8\n");
  const ProgramRun no_log = run_program({"calibrate", "film", scans});
  EXPECT_EQ(no_log.status, 2);
  EXPECT_THAT(no_log.err, HasSubstr("--log"));
  const ProgramRun few = run_program({"calibrate", "film", scans, "--log", log});
  EXPECT_EQ(few.status, 2);
  EXPECT_THAT(few.err, HasSubstr("4 or more"));
}

TEST_F(CalibrateFilm, nothing_is_written_over_or_among_the_scans) {
  const std::filesystem::path scans = folder / "scans";
  std::filesystem::create_directories(scans);
  std::filesystem::rename(folder.copy_sample("roll03_01.tif"), scans / "roll03_01.tif");
  const std::filesystem::path log = folder.write("log.csv", "frame,shutter,aperture\n1,1/125,8\n");
  const std::string before = content_of(scans / "roll03_01.tif");
  for (const char* name : {"roll03_01.tif", "profile.toml"}) {
    const ProgramRun run =
        run_program({"calibrate", "film", scans, "--log", log, "--out", scans / name});
    EXPECT_EQ(run.status, 2);
    EXPECT_THAT(run.err, HasSubstr("among the scans"));
  }
  EXPECT_TRUE(content_of(scans / "roll03_01.tif") == before);
  EXPECT_FALSE(std::filesystem::exists(scans / "profile.toml"));
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
// What need not be said again: which of options, the roll's own file, the scanner's section and the
// configuration file holds.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <exiv2/exiv2.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::AllOf;
using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using Json = nlohmann::json;

constexpr const char* kResponse =
    "schema = \"basefog.response/1\"\n[[channel]]\ncurve = "
    "[[60000, 0.05], [30400, 0.35], [15400, 0.65], [900, 1.9]]\n";

class SettingsFiles : public ::testing::Test {
 protected:
  SettingsFiles() {
    fs::create_directories(folder / "config/basefog");
    fs::create_directories(folder / "scans");
    fs::copy_file(BASEFOG_SAMPLES "/roll/roll03_03.tif", scan);
    write("roll7.csv", "frame,shutter,aperture\n3,1/500,5.6\n");
  }
  fs::path write(const std::string& name, const std::string& text) const {
    std::ofstream(folder / name, std::ios::binary) << text;
    return folder / name;
  }
  void configure(const std::string& text) const { write("config/basefog/config.toml", text); }
  ProgramRun run(const std::vector<std::string>& words) const {
    return run_program(words, {"env", "XDG_CONFIG_HOME=" + (folder / "config").string()});
  }
  /// A review of the scan with the log.
  Json review(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> words = {"review", scan, "--log",  folder / "roll7.csv",
                                      "--json", "-",  "--quiet"};
    words.insert(words.end(), more.begin(), more.end());
    const ProgramRun done = run(words);
    EXPECT_EQ(done.status, 0) << done.err;
    return done.out.empty() ? Json() : Json::parse(done.out);
  }

  TestFolder folder;
  const fs::path scan = folder / "scans/roll03_03.tif";
};

TEST_F(SettingsFiles, settings_say_how_scans_are_read) {
  EXPECT_THAT(run({"settings"}).out,
              ContainsRegex("Scans are read (each in a process of its own|in "
                            "the program itself)[^\n]*[.]\n"));
}

TEST_F(SettingsFiles, options_come_before_the_roll_s_own_file_before_the_configuration) {
  EXPECT_EQ(review()["film"]["kind"], "black_and_white") << "as the scan shows";
  configure("film = \"chromogenic\"\n");
  EXPECT_EQ(review()["film"]["kind"], "chromogenic");
  write("roll7.toml", "film = \"bw\"\nfilm_speed = 50\n");
  EXPECT_EQ(review()["film"]["kind"], "black_and_white");
  EXPECT_EQ(review()["aim"]["film_speed"], 50);
  EXPECT_EQ(review({"--film", "chromogenic"})["film"]["kind"], "chromogenic");
  EXPECT_EQ(review({"--film-speed", "800"})["aim"]["film_speed"], 800);
}

TEST_F(SettingsFiles, scanner_s_section_holds_for_its_scans_alone) {
  const Json before = review();
  write("config/basefog/scanner.toml", kResponse);
  configure("[[scanner]]\nname = \"example 7000\"\nresponse = \"scanner.toml\"\n");
  EXPECT_EQ(review(), before) << "the scan names no scanner";
  auto image = Exiv2::ImageFactory::open(scan.string());
  image->readMetadata();
  image->exifData()["Exif.Image.Make"] = "Example";
  image->exifData()["Exif.Image.Model"] = "7000 ED";
  image->exifData()["Exif.Photo.FileSource"] = "1";
  image->writeMetadata();
  const Json after = review();
  EXPECT_NE(after["frames"][0]["exposure"], before["frames"][0]["exposure"]);
  const std::string response = folder / "config/basefog/scanner.toml";
  EXPECT_EQ(after, review({"--response", response}));
  EXPECT_THAT(run({"settings", scan}).out,
              ContainsRegex("response *[^\n]*scanner.toml [^\n]*scanner \"example 7000\""));
}

TEST_F(SettingsFiles, say_where_results_and_rolls_go) {
  configure("out = \"" + (folder / "result").string() + "\"\nledger = \"rolls.db\"\n");
  EXPECT_EQ(run({"review", scan}).status, 0);
  EXPECT_TRUE(fs::exists(folder / "result/report.html"));
  // An output that was asked for takes its place.
  fs::remove_all(folder / "result");
  EXPECT_EQ(run({"review", scan, "--csv", folder / "frames.csv", "--quiet"}).status, 0);
  EXPECT_FALSE(fs::exists(folder / "result"));
  EXPECT_THAT(run({"bias"}).err, HasSubstr((folder / "config/basefog/rolls.db").string()));
  // Never among the scans, whoever says so.
  configure("out = \"" + (folder / "scans/result").string() + "\"\n");
  EXPECT_EQ(run({"review", folder / "scans"}).status, 2);
}

TEST_F(SettingsFiles, are_shown_with_where_they_stand) {
  configure("film = \"bw\"\ncamera = \"black.toml\"\n");
  write("roll7.toml", "film = \"colour\"\n");
  const ProgramRun shown = run({"settings", "--log", folder / "roll7.csv"});
  EXPECT_EQ(shown.status, 0);
  EXPECT_THAT(shown.out,
              AllOf(ContainsRegex("\nfilm +colour +[^\n]*roll7.toml"),
                    ContainsRegex("\ncamera +[^\n]*/config/basefog/black.toml +[^\n]*config.toml"),
                    ContainsRegex("\nresponse +-\n")));
}

TEST_F(SettingsFiles, name_what_is_wrong_in_them) {
  const auto said = [this](const std::string& text) {
    configure(text);
    const ProgramRun run = this->run({"review", scan, "--quiet"});
    EXPECT_EQ(run.status, 2) << text;
    EXPECT_THAT(run.err, HasSubstr("config.toml"));
    return run.err;
  };
  EXPECT_THAT(said("flim = \"bw\"\n"), HasSubstr("\"flim\" (line 1)"));
  EXPECT_THAT(said("film = 3\n"), HasSubstr("not a text in quotes"));
  EXPECT_THAT(said("\nfilm_speed = 400\n"), HasSubstr("(line 2) is of one roll"));
  EXPECT_THAT(said("style = \"big\"\n"), HasSubstr("table, wide and list"));
  EXPECT_THAT(said("[[scanner]]\nresponse = \"linear\"\n"), HasSubstr("has no name"));
  EXPECT_THAT(said("film = \n"), HasSubstr("line 1"));
}

TEST_F(SettingsFiles, of_each_roll_hold_in_a_folder_of_rolls) {
  for (const char* roll : {"a", "b"}) {
    const fs::path place = fs::path(folder / "shelf") / roll;
    fs::create_directories(place);
    fs::copy_file(scan, place / "x_03.tif");
    fs::copy_file(folder / "roll7.csv", place / "log.csv");
  }
  std::ofstream(folder / "shelf/b/log.toml") << "film_speed = 50\n";
  EXPECT_EQ(run({"review", folder / "shelf", "--out", folder / "out", "--quiet"}).status, 0);
  const auto speed = [&](const char* roll) {
    return Json::parse(
        content_of(fs::path(folder / "out") / roll / "review.json"))["aim"]["film_speed"];
  };
  EXPECT_NE(speed("a"), 50);
  EXPECT_EQ(speed("b"), 50);
}

}  // namespace
}  // namespace basefog

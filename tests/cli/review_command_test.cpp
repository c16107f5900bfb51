// SPDX-License-Identifier: GPL-3.0-or-later
// The program as its users meet it: words in, exit status, table, files and sentences out.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <map>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::AllOf;
using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

const std::string kRoll = BASEFOG_SAMPLES "/roll";
const std::string kLog = kRoll + "/log.csv";

std::map<std::string, std::string> states_of(const std::string& json) {
  std::map<std::string, std::string> states;
  const auto review = nlohmann::json::parse(json);
  for (const auto& frame : review.at("frames")) {
    states[std::filesystem::path(frame.at("file").get<std::string>()).filename()] =
        frame.at("state");
  }
  return states;
}

TEST(Review, of_the_sample_roll_ends_well_and_says_what_to_do) {
  const ProgramRun run = run_program({"review", kRoll, "--log", kLog});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, AllOf(HasSubstr("interior"), HasSubstr("Set the dial to 320 instead of 400"),
                             ContainsRegex("1/15\\s+give 2/3 stop less")));
  EXPECT_THAT(run.out, Not(HasSubstr("\033["))) << "colour where no terminal is";
  EXPECT_THAT(run.err, HasSubstr("read 14 of 14 scans"));
}

TEST(Review, counts_copies_of_a_scan_once_and_says_so) {
  const TestFolder folder;
  std::filesystem::create_directory(folder / "scans");
  std::filesystem::copy_file(kRoll + "/roll03_03.tif", folder / "scans" / "roll03_03.tif");
  std::filesystem::copy_file(kRoll + "/roll03_07.tif", folder / "scans" / "roll03_07.tif");
  for (int copy = 1; copy <= 3; ++copy) {
    std::filesystem::copy_file(kRoll + "/roll03_03.tif",
                               folder / "scans" / ("copy " + std::to_string(copy) + ".tif"));
  }
  const ProgramRun run =
      run_program({"review", folder / "scans", "--json", folder / "review.json", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const std::string json = content_of(folder / "review.json");
  EXPECT_EQ(states_of(json).size(), 2U);
  EXPECT_THAT(json, HasSubstr("does, to the last value, so it counts once"));
}

TEST(Review, writes_all_outputs_whole_into_the_folder_named_and_nothing_among_the_inputs) {
  const TestFolder folder;
  std::filesystem::create_directory(folder / "scans");
  for (const char* name : {"roll03_03.tif", "roll03_07.tif"}) {
    std::filesystem::copy_file(kRoll + "/" + name, folder / "scans" / name);
  }
  const std::string out = folder / "a b" / "out";
  const ProgramRun run = run_program({"review", folder / "scans", "--out", out, "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.err, IsEmpty());
  EXPECT_THAT(content_of(out + "/report.html"), HasSubstr("</html>"));
  EXPECT_THAT(content_of(out + "/frames.csv"), HasSubstr("roll03_07"));
  EXPECT_EQ(states_of(content_of(out + "/review.json")).size(), 2u);
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder / "scans"), {}), 2);
}

TEST(Review, takes_the_meters_pattern_and_the_marks_from_the_camera_file) {
  const TestFolder folder;
  const std::string camera =
      folder.write("camera.toml", "shutter_shortest = \"1/250\"\n[meter]\npattern = \"average\"");
  const std::string log = folder.write("log.csv", "frame,shutter,aperture\n3,1/1000,8\n");
  const std::vector<std::string> words = {
      "review", kRoll + "/roll03_03.tif", "--log", log, "--json", "-", "--quiet"};
  const auto with = [&](std::vector<std::string> more) {
    more.insert(more.begin(), words.begin(), words.end());
    return nlohmann::json::parse(run_program(more).out);
  };
  const auto exposure = [](const nlohmann::json& review) {
    return review.at("frames").at(0).at("exposure");
  };
  const nlohmann::json said = with({"--camera", camera});
  EXPECT_EQ(exposure(said), exposure(with({"--metering", "average"})));
  EXPECT_NE(exposure(said), exposure(with({})));
  EXPECT_EQ(exposure(with({"--camera", camera, "--metering", "spot"})),
            exposure(with({"--metering", "spot"})));
  EXPECT_THAT(said.at("warnings").dump(), HasSubstr("1/1000 is beyond this camera's shutter"));
}

TEST(Review, names_what_is_wrong_with_a_camera_file) {
  const TestFolder folder;
  const std::string camera = folder.write("camera.toml", "shuter = \"full\"\n");
  const ProgramRun run =
      run_program({"review", kRoll + "/roll03_03.tif", "--camera", camera, "--quiet"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, AllOf(HasSubstr("camera.toml"), HasSubstr("\"shuter\" (line 1)")));
}

TEST(Review, refuses_to_write_beside_the_scans) {
  const TestFolder folder;
  folder.copy_sample("roll03_03.tif");
  for (const char* option : {"--json", "--csv", "--html"}) {
    const ProgramRun run = run_program({"review", folder.string(), option, folder / "x"});
    EXPECT_EQ(run.status, 2);
    EXPECT_THAT(run.err, HasSubstr("nothing is ever written among the scans"));
  }
  EXPECT_EQ(run_program({"review", folder.string(), "--out", folder.string()}).status, 2);
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.string()), {}), 1);
}

TEST(Review, refuses_to_write_into_a_new_folder_within_the_scans) {
  const TestFolder folder;
  std::filesystem::create_directory(folder / "scans");
  std::filesystem::copy_file(kRoll + "/roll03_03.tif", folder / "scans/roll03_03.tif");
  std::filesystem::create_directory(folder / "records");
  ASSERT_EQ(run_program({"read", folder / "scans", "--record", folder / "records"}).status, 0);
  const std::vector<std::vector<std::string>> attempts = {
      {"review", folder / "scans", "--out", folder / "scans/new/deep"},
      {"review", "--from", folder / "records", "--out", folder / "records/new"},
      {"review", folder / "scans", "--remember", "--ledger", folder / "scans/new/ledger.db"},
      {"review", "--from", folder / "records", "--json", folder / "records/new/review.json"},
      {"review", "--from", folder / "records", "--remember", "--ledger",
       folder / "records/new/ledger.db"},
      {"read", folder / "scans", "--record", folder / "scans/new"},
      {"read", folder / "scans", "--show-layout", folder / "scans/new"},
      {"read", folder / "scans", "--json", folder / "scans/new/read.json"},
      {"proof", folder / "scans", "--out", folder / "scans/new"},
      {"card", folder / "scans", "--out", folder / "scans/new/card.svg"},
  };
  for (const std::vector<std::string>& words : attempts) {
    const ProgramRun run = run_program(words);
    EXPECT_EQ(run.status, 2) << words.back();
    EXPECT_FALSE(
        std::filesystem::exists(std::filesystem::path(words.back()).parent_path() / "new"));
    EXPECT_FALSE(std::filesystem::exists(words.back()));
  }
  std::filesystem::create_directory_symlink(folder / "scans", folder / "elsewhere");
  EXPECT_EQ(run_program({"review", folder / "scans", "--out", folder / "elsewhere/out"}).status, 2)
      << "a link leads among the scans";
}

TEST(Review, writes_to_pipes_devices_and_links_without_replacing_them) {
  const TestFolder folder;
  const std::string scan = kRoll + "/roll03_03.tif";
  std::filesystem::create_symlink("/dev/null", folder / "nowhere");
  EXPECT_EQ(run_program({"review", scan, "--json", folder / "nowhere", "--quiet"}).status, 0);
  EXPECT_TRUE(std::filesystem::is_symlink(folder / "nowhere"));

  folder.write("kept.json", "before");
  std::filesystem::create_symlink("kept.json", folder / "link.json");
  EXPECT_EQ(run_program({"review", scan, "--json", folder / "link.json", "--quiet"}).status, 0);
  EXPECT_TRUE(std::filesystem::is_symlink(folder / "link.json"));
  EXPECT_THAT(content_of(folder / "kept.json"), HasSubstr("basefog.review/1"));

  const ProgramRun appended = run_program({"review", scan, "--json", "/dev/stdout"},
                                          {"bash", "-c", "echo first; \"$@\"", "bash"});
  EXPECT_EQ(appended.status, 0) << appended.err;
  EXPECT_EQ(nlohmann::json::parse(appended.out.substr(appended.out.find('{'))).at("schema"),
            "basefog.review/1")
      << "JSON alone, and no table";

  const ProgramRun piped =
      run_program({"review", scan, "--quiet"}, {"bash", "-c",
                                                "mkfifo \"$0/fifo\"; \"$@\" --json \"$0/fifo\" & "
                                                "cat \"$0/fifo\"; wait; test -p \"$0/fifo\"",
                                                folder.string()});
  EXPECT_EQ(piped.status, 0) << piped.err;
  EXPECT_EQ(nlohmann::json::parse(piped.out).at("schema"), "basefog.review/1");

  const ProgramRun substituted =
      run_program({"review", scan, "--quiet"}, {"bash", "-c", "\"$@\" --json >(cat)", "bash"});
  EXPECT_EQ(substituted.status, 0) << substituted.err;
}

TEST(Review, sends_json_to_standard_output_alone) {
  const ProgramRun run =
      run_program({"review", kRoll + "/roll03_03.tif", "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(nlohmann::json::parse(run.out).at("schema"), "basefog.review/1");
}

TEST(Review, of_an_empty_folder_measures_nothing_and_says_so) {
  const TestFolder folder;
  const ProgramRun run = run_program({"review", folder.string()});
  EXPECT_EQ(run.status, 3);
  EXPECT_THAT(run.err, AllOf(HasSubstr(folder.string()), HasSubstr("holds no scans")));
}

TEST(Review, without_the_log_that_was_named_does_not_start) {
  const ProgramRun run = run_program({"review", kRoll, "--log", "gone.csv"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("gone.csv"));
  EXPECT_THAT(run.out, IsEmpty());
}

TEST(Review, of_the_wrong_words_explains_itself) {
  EXPECT_EQ(run_program({}).status, 2);
  EXPECT_EQ(run_program({"review"}).status, 2);
  EXPECT_EQ(run_program({"review", kRoll, "--film-speed", "nan"}).status, 2);
  EXPECT_EQ(run_program({"review", kRoll, "--film-speed", "1e-300"}).status, 2);
  EXPECT_EQ(run_program({"review", kRoll, "--film-speed", "1e7"}).status, 2);
  EXPECT_EQ(run_program({"review", kRoll, "--film", "gone.toml"}).status, 2);
  EXPECT_EQ(run_program({"review", kRoll, "--response", "gamma=x"}).status, 2);
  EXPECT_EQ(run_program({"--help"}).status, 0);
  EXPECT_EQ(run_program({"review", "--help"}).status, 0);
}

TEST(Review, keeps_the_row_that_holds_nonsense_and_the_frames) {
  const TestFolder folder;
  const std::string log = folder.write("log.csv",
                                       "frame,shutter,aperture,iso\n"
                                       "3,1/500,5.6,400\n"
                                       "7,banana,f/4,four hundred\n");
  const ProgramRun run = run_program({"review", kRoll + "/roll03_03.tif", kRoll + "/roll03_07.tif",
                                      "--log", log, "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const auto review = nlohmann::json::parse(run.out);
  EXPECT_EQ(review.at("frames").at(0).at("log_row"), "3");
  bool told = false;
  for (const auto& warning : review.at("warnings")) {
    told = told || warning.at("text").get<std::string>().find("banana") != std::string::npos;
  }
  EXPECT_TRUE(told) << review.at("warnings").dump(1);
}

// Whatever is wrong with some files, the others are measured, and each is given its state.
TEST(Review, one_bad_file_never_sinks_the_roll) {
  const TestFolder folder;
  folder.copy_sample("roll03_03.tif");
  folder.copy_inverted("roll03_06.tif");
  folder.write("roll03_04.tif", "this is no picture");
  folder.write("roll03_05.tif", "");
  const std::string whole = content_of(kRoll + "/roll03_07.tif");
  folder.write("roll03_07.tif", whole.substr(0, 200));
  const ProgramRun run = run_program({"review", folder.string(), "--json", "-"});
  EXPECT_EQ(run.status, 1) << run.err;
  const auto states = states_of(run.out);
  EXPECT_EQ(states.at("roll03_03.tif"), "measured");
  EXPECT_EQ(states.at("roll03_06.tif"), "positive");
  for (const char* name : {"roll03_04.tif", "roll03_05.tif", "roll03_07.tif"}) {
    EXPECT_EQ(states.at(name), "unreadable") << name;
  }
}

TEST(Review, of_a_scan_cropped_to_the_picture_gives_no_number) {
  const TestFolder folder;
  folder.copy_cropped("roll03_03.tif");
  const ProgramRun run = run_program({"review", folder.string(), "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 3) << run.err;
  const auto review = nlohmann::json::parse(run.out);
  EXPECT_EQ(review.at("frames").at(0).at("state"), "no_reference");
  EXPECT_FALSE(review.at("frames").at(0).contains("exposure"));
  EXPECT_THAT(review.at("warnings").dump(), HasSubstr("rebate in view"));
}

TEST(Review, takes_the_zero_from_a_scan_of_clear_film) {
  const TestFolder folder;
  folder.copy_cropped("roll03_03.tif");
  const ProgramRun run = run_program({"review", folder.string(), "--base-scan",
                                      kRoll + "/roll03_00.tif", "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const auto review = nlohmann::json::parse(run.out);
  EXPECT_EQ(review.at("frames").at(0).at("reference").at("kind"), "base_scan");
  EXPECT_NEAR(review.at("frames").at(0).at("reference").at("density").get<double>(), 0.104, 0.01);

  const ProgramRun wrong =
      run_program({"review", folder.string(), "--base-scan", kRoll + "/roll03_07.tif", "--quiet"});
  EXPECT_EQ(wrong.status, 2);
  EXPECT_THAT(wrong.err, HasSubstr("shows more than clear film"));
}

// Linear codes read as if they were gamma 3 make densities three times too great.
TEST(Review, doubts_a_response_that_the_film_contradicts) {
  const ProgramRun run =
      run_program({"review", kRoll, "--response", "gamma=3", "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const auto review = nlohmann::json::parse(run.out);
  EXPECT_THAT(review.at("warnings").dump(), HasSubstr("response_implausible"));
  EXPECT_THAT(review.at("frames").at(3).at("flags").dump(), HasSubstr("response_implausible"));
}

TEST(Review, gives_a_cropped_scan_the_zero_of_its_roll_when_the_exposure_is_locked) {
  const TestFolder folder;
  for (const char* name : {"roll03_01.tif", "roll03_06.tif", "roll03_12.tif"}) {
    folder.copy_sample(name);
  }
  folder.copy_cropped("roll03_03.tif");
  const ProgramRun run = run_program({"review", folder.string(), "--json", "-", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  const auto review = nlohmann::json::parse(run.out);
  for (const auto& frame : review.at("frames")) {
    const bool cropped = frame.at("file").get<std::string>().find("_03") != std::string::npos;
    EXPECT_EQ(frame.at("reference").at("kind"), cropped ? "roll" : "rebate");
  }
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
// `basefog read`, and the options of the film area as users meet them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::StartsWith;

const std::string kScan = BASEFOG_SAMPLES "/roll/roll03_03.tif";

TEST(Read, says_where_the_frame_is_and_how_dense_clear_film) {
  const ProgramRun run = run_program({"read", kScan});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, AllOf(HasSubstr("roll03_03.tif"), HasSubstr("clear film against full scale"),
                             HasSubstr("frame  1: centre"), HasSubstr("measured")));
}

TEST(Read, draws_what_was_found_as_PNG) {
  const TestFolder folder;
  const std::string file = folder / "found.png";
  EXPECT_EQ(run_program({"read", kScan, "--show-layout", file}).status, 0);
  EXPECT_THAT(content_of(file), StartsWith("\x89PNG\r\n"));
  const std::string again = folder / "pictures";
  EXPECT_EQ(run_program({"read", kScan, "--show-layout", again}).status, 0);
  EXPECT_EQ(content_of(again + "/roll03_03-layout.png"), content_of(file)) << "not the same bytes";
}

TEST(Read, writes_no_picture_among_the_scans) {
  const TestFolder folder;
  const std::filesystem::path scan = folder.copy_sample("roll03_03.tif");
  const ProgramRun run = run_program({"read", scan, "--show-layout", folder / "found.png"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("beside"));
  EXPECT_FALSE(std::filesystem::exists(folder / "found.png"));
}

TEST(Read, of_one_bad_file_among_others_reads_the_others) {
  const TestFolder folder;
  folder.copy_sample("roll03_03.tif");
  folder.write("broken.tif", "no scan");
  const ProgramRun run = run_program({"read", folder.string()});
  EXPECT_EQ(run.status, 1);
  EXPECT_THAT(run.out, HasSubstr("roll03_03.tif"));
  EXPECT_THAT(run.err, HasSubstr("broken.tif"));
}

TEST(Read, refuses_a_layout_it_does_not_know) {
  const ProgramRun run = run_program({"read", kScan, "--layout", "circle"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, AllOf(HasSubstr("circle"), HasSubstr("24x36")));
}

TEST(Review, takes_a_stated_base_over_what_it_finds) {
  const ProgramRun run =
      run_program({"review", kScan, "--base", "0.9", "--layout", "single,24x36", "--json", "-"});
  const auto frame = nlohmann::json::parse(run.out).at("frames").at(0);
  EXPECT_EQ(frame.at("reference").at("kind"), "given");
  EXPECT_NEAR(frame.at("reference").at("density").get<double>(), 0.046, 0.001);
  EXPECT_EQ(frame.at("region").size(), 4U);
}

TEST(Review, refuses_a_base_that_is_none) {
  const ProgramRun run = run_program({"review", kScan, "--base", "white"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, AllOf(HasSubstr("--base"), HasSubstr("R,G,B")));
}

}  // namespace
}  // namespace basefog

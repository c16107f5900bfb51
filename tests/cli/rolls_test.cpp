// SPDX-License-Identifier: GPL-3.0-or-later
// A folder of rolls, from the command line to index page and table.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::Not;

const fs::path kRoll = fs::path(BASEFOG_SAMPLES) / "roll";

/// Two rolls, one with its log, and a folder of something else.
void fill(const fs::path& shelf) {
  for (const char* roll : {"roll 3", "roll10", "letters"}) fs::create_directories(shelf / roll);
  for (const char* name : {"roll03_03.tif", "roll03_04.tif", "roll03_06.tif", "log.csv"}) {
    fs::copy_file(kRoll / name, shelf / "roll 3" / name);
  }
  fs::copy_file(kRoll / "roll03_09.tif", shelf / "roll10" / "x_09.tif");
}

TEST(Rolls, get_a_report_each_an_index_page_and_a_table) {
  const TestFolder folder;
  fill(folder / "shelf");
  const ProgramRun run = run_program({"review", folder / "shelf", "--out", folder / "out"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.err, HasSubstr("roll 1 of 2: roll 3"));
  EXPECT_THAT(run.out, HasSubstr("roll10"));
  EXPECT_THAT(content_of(folder / "out" / "roll 3" / "review.json"), HasSubstr("log_row"));
  EXPECT_THAT(content_of(folder / "out" / "roll10" / "report.html"), HasSubstr("</html>"));
  const std::string index = content_of(folder / "out" / "index.html");
  EXPECT_THAT(index, HasSubstr("href=\"roll%203/report.html\""));
  EXPECT_THAT(index, Not(HasSubstr("letters")));
  const std::string table = content_of(folder / "out" / "rolls.csv");
  EXPECT_EQ(std::count(table.begin(), table.end(), '\n'), 3);
}

TEST(Rolls, one_bad_roll_never_sinks_the_others) {
  const TestFolder folder;
  fill(folder / "shelf");
  folder.write("shelf/roll10/log.csv", "this is no log");
  const ProgramRun run =
      run_program({"review", folder / "shelf", "--out", folder / "out", "--quiet"});
  EXPECT_EQ(run.status, 1) << run.err;
  EXPECT_THAT(run.out, ::testing::IsEmpty());
  EXPECT_THAT(content_of(folder / "out" / "rolls.csv"), HasSubstr("log.csv"));
  EXPECT_THAT(content_of(folder / "out" / "roll 3" / "report.html"), HasSubstr("</html>"));
}

TEST(Rolls, are_remembered_each_under_its_folder) {
  const TestFolder folder;
  fill(folder / "shelf");
  fs::copy(kRoll, folder / "shelf" / "roll 3",
           fs::copy_options::recursive | fs::copy_options::skip_existing);
  const ProgramRun run = run_program(
      {"review", folder / "shelf", "--remember", "--quiet", "--ledger", folder / "ledger.db"});
  EXPECT_EQ(run.status, 1) << "one of them says too little of the meter";
  EXPECT_THAT(run.err, HasSubstr("roll roll10 is not remembered"));
  const ProgramRun list = run_program({"ledger", "--ledger", folder / "ledger.db"});
  EXPECT_THAT(list.out, HasSubstr("roll 3")) << list.err;
  EXPECT_THAT(list.out, Not(HasSubstr("roll10")));
}

TEST(Rolls, refuse_what_is_of_one_roll_and_outputs_among_them) {
  const TestFolder folder;
  fill(folder / "shelf");
  const std::string shelf = folder / "shelf";
  EXPECT_THAT(run_program({"review", shelf, "--json", "-"}).err, HasSubstr("holds several rolls"));
  EXPECT_EQ(run_program({"review", shelf, "--log", kRoll / "log.csv"}).status, 2);
  EXPECT_THAT(run_program({"review", shelf, "--out", shelf + "/out"}).err,
              HasSubstr("lies within"));
  EXPECT_FALSE(fs::exists(shelf + "/out"));
}

TEST(Review, styles_fit_their_purpose) {
  const std::string roll = kRoll / "roll03_03.tif";
  const std::string log = kRoll / "log.csv";
  const ProgramRun wide = run_program({"review", roll, "--log", log, "--style", "wide"});
  EXPECT_THAT(wide.out, HasSubstr("shadow reserve"));
  const ProgramRun list = run_program({"review", roll, "--log", log, "--style", "list"});
  EXPECT_THAT(list.out, HasSubstr("film got"));
  EXPECT_EQ(run_program({"review", roll, "--style", "fancy"}).status, 2);
  EXPECT_EQ(run_program({"review", roll, "--quiet"}).out, "");
  const ProgramRun verbose = run_program({"review", roll, "--verbose"});
  EXPECT_THAT(verbose.out, HasSubstr("Frame by frame"));
  EXPECT_THAT(verbose.err, HasSubstr("read 1 of 1: roll03_03.tif"));
}

TEST(Review, sidecars_go_into_the_output_folder_or_beside_when_asked) {
  const TestFolder folder;
  folder.copy_sample("roll03_03.tif");
  const ProgramRun run =
      run_program({"review", folder.string(), "--out", folder / "out", "--sidecar", "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(content_of(folder / "out" / "sidecars" / "roll03_03.xmp"),
              HasSubstr("basefog:State"));
  EXPECT_FALSE(fs::exists(folder / "roll03_03.xmp"));
  EXPECT_EQ(run_program({"review", folder.string(), "--sidecar"}).status, 2);

  folder.write("roll03_03.xmp", "mine");
  const ProgramRun beside = run_program({"review", folder.string(), "--sidecar-beside", "--quiet"});
  EXPECT_EQ(beside.status, 0);
  EXPECT_THAT(beside.err, HasSubstr("was there before and stays as it was"));
  EXPECT_EQ(content_of(folder / "roll03_03.xmp"), "mine");
}

}  // namespace
}  // namespace basefog

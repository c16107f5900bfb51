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
  EXPECT_THAT(run.err, HasSubstr("roll roll10: "));
  EXPECT_THAT(content_of(folder / "out" / "rolls.csv"), HasSubstr("log.csv"));
  EXPECT_THAT(content_of(folder / "out" / "roll 3" / "report.html"), HasSubstr("</html>"));
}

TEST(Rolls, take_the_log_beside_the_scans_or_say_why_not) {
  const TestFolder folder;
  fill(folder / "shelf");
  fs::rename(folder / "shelf" / "roll 3" / "log.csv", folder / "shelf" / "roll 3" / "LOG.CSV");
  folder.write("shelf/roll10/a.csv", "frame,shutter,f\n9,60,8\n");
  folder.write("shelf/roll10/b.txt", "bread, milk");
  const ProgramRun run = run_program({"review", folder / "shelf", "--out", folder / "out"});
  EXPECT_THAT(content_of(folder / "out" / "roll 3" / "review.json"), HasSubstr("log_row"));
  EXPECT_THAT(run.err, HasSubstr("roll10 holds 2 tables, none of them named log.csv"));
}

// What lies between the rolls is no roll's fault.
TEST(Rolls, are_all_reviewed_though_the_ledger_cannot_be_reached) {
  const TestFolder folder;
  fill(folder / "shelf");
  const std::string long_name(300, 'a');  // longer than any file's name may be
  const ProgramRun run = run_program({"review", folder / "shelf", "--out", folder / "out",
                                      "--remember", "--ledger", folder / long_name / "x.db"});
  EXPECT_EQ(run.status, 1) << run.err;
  for (const char* roll : {"roll 3", "roll10"}) {
    EXPECT_THAT(content_of(folder / "out" / roll / "report.html"), HasSubstr("</html>"));
  }
  EXPECT_TRUE(fs::exists(folder / "out" / "index.html"));
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

TEST(Review, never_writes_over_the_settings_it_was_given) {
  const TestFolder folder;
  const std::string scan = folder.copy_sample("roll03_03.tif");
  fs::create_directories(folder / "set");
  const fs::path response = folder.write("set/r.toml",
                                         "schema = \"basefog.response/1\"\n[[channel]]\ncurve = "
                                         "[[60000, 0.05], [30400, 0.35], [15400, 0.65]]\n");
  const ProgramRun run = run_program({"review", scan, "--response", response, "--json", response});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("is one of the inputs"));
  EXPECT_THAT(content_of(response), HasSubstr("[[channel]]"));
}

TEST(Review, a_scan_that_cannot_be_read_is_named_where_no_table_does) {
  const TestFolder folder;
  fs::create_directories(folder / "s");
  fs::copy_file(kRoll / "roll03_03.tif", folder / "s" / "roll03_03.tif");
  folder.write("s/broken.tif", "II");
  const ProgramRun quiet = run_program({"review", folder / "s", "--quiet"});
  EXPECT_EQ(quiet.status, 1);
  EXPECT_THAT(quiet.err, HasSubstr("broken.tif "));
  const ProgramRun proof = run_program({"proof", folder / "s", "--out", folder / "p"});
  EXPECT_EQ(proof.status, 1);
  EXPECT_THAT(proof.err, HasSubstr("broken.tif "));
}

TEST(Review, a_light_that_is_missing_is_not_the_scan_s_fault) {
  const TestFolder folder;
  const std::string scan = folder.copy_sample("roll03_03.tif");
  const ProgramRun run =
      run_program({"read", scan, "--record", folder / "r", "--light", folder / "gone.tif"});
  EXPECT_THAT(run.err, HasSubstr("gone.tif: does not exist"));
}

TEST(Review, beside_a_scan_that_is_not_there_nothing_is_made) {
  const TestFolder folder;
  const std::string scan = folder.copy_sample("roll03_03.tif");
  run_program({"review", scan, folder / "typo" / "x.tif", "--sidecar-beside", "--quiet"});
  EXPECT_FALSE(fs::exists(folder / "typo"));
}

TEST(Review, an_output_without_a_name_is_refused) {
  const TestFolder folder;
  const std::string scan = folder.copy_sample("roll03_03.tif");
  const ProgramRun run = run_program({"review", scan, "--json", ""});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("without a name"));
}

TEST(Read, pictures_of_scans_with_like_names_do_not_write_over_one_another) {
  const TestFolder folder;
  for (const char* name : {"a/x.tif", "b/x.tif", "a/x-2.tif"}) {
    fs::create_directories((folder / name).parent_path());
    fs::copy_file(kRoll / "roll03_03.tif", folder / name);
  }
  const ProgramRun run = run_program({"read", folder / "a/x.tif", folder / "b/x.tif",
                                      folder / "a/x-2.tif", "--record", folder / "r"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(std::distance(fs::directory_iterator(folder / "r"), fs::directory_iterator()), 3);
}

TEST(Logsheet, never_takes_the_place_of_a_log) {
  const TestFolder folder;
  const fs::path log = folder.write("log.csv", "frame,shutter,f\n1,60,8\n");
  const ProgramRun run = run_program({"logsheet", log});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("is there already"));
  EXPECT_THAT(content_of(log), HasSubstr("1,60,8"));
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
  const fs::path scan = folder.copy_sample("roll03_03.tif");
  const ProgramRun run =
      run_program({"review", scan, "--out", folder / "out", "--sidecar", "--quiet"});
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

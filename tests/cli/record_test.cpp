// SPDX-License-Identifier: GPL-3.0-or-later
// Scans measured one by one and reviewed together give what one run gives.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

TEST(Records, a_review_from_them_is_the_review_of_the_scans) {
  const TestFolder folder;
  const fs::path roll = fs::path(BASEFOG_SAMPLES) / "roll";
  const std::string log = (roll / "log.csv").string();
  const std::string records = (folder / "records").string();
  std::vector<std::string> scans;
  for (const char* name : {"roll03_01.tif", "roll03_02.tif", "roll03_10.tif"}) {
    scans.push_back((roll / name).string());
    const ProgramRun read = run_program({"read", scans.back(), "--record", records});
    EXPECT_EQ(read.status, 0) << read.err;
    EXPECT_EQ(read.out, "");
  }
  const ProgramRun merged =
      run_program({"review", "--from", records, "--log", log, "--json", "-", "--quiet"});
  scans.insert(scans.begin(), "review");
  scans.insert(scans.end(), {"--log", log, "--json", "-", "--quiet"});
  const ProgramRun direct = run_program(scans);
  EXPECT_EQ(merged.status, direct.status) << merged.err;
  EXPECT_EQ(merged.out, direct.out);
}

// An archive is read on all cores, or machines, by a program that knows nothing of film.
TEST(Records, made_by_gnu_parallel_give_the_report_of_the_single_run) {
  if (std::system("parallel --version > /dev/null 2>&1") != 0) {
    GTEST_SKIP() << "GNU parallel is not installed";
  }
  const TestFolder folder;
  const std::string roll = BASEFOG_SAMPLES "/roll";
  const std::string command = "ls '" + roll + "'/*.tif | parallel --will-cite -j 4 '" +
                              BASEFOG_PROGRAM + "' read {} --record '" +
                              std::string(folder / "records") + "' 2>&1";
  ASSERT_EQ(std::system(command.c_str()), 0);
  const auto review = [&](std::vector<std::string> words, const char* out) {
    words.insert(words.begin(), "review");
    words.insert(words.end(), {"--log", roll + "/log.csv", "--quiet", "--out", folder / out});
    EXPECT_EQ(run_program(words).status, 0);
    return contents_of(folder / out);
  };
  const auto merged = review({"--from", folder / "records"}, "merged");
  EXPECT_EQ(merged, review({roll}, "direct")) << "a file differs";
  EXPECT_GE(merged.size(), 4U);
}

TEST(Records, a_scan_that_cannot_be_read_has_one_too) {
  const TestFolder folder;
  const fs::path scan = folder.write("broken.tif", "no scan");
  const std::string records = (folder / "records").string();
  const ProgramRun read = run_program({"read", scan.string(), "--record", records});
  EXPECT_EQ(read.status, 3);
  EXPECT_THAT(read.err, HasSubstr("broken.tif"));
  const ProgramRun review = run_program({"review", "--from", records});
  EXPECT_EQ(review.status, 3);
  EXPECT_THAT(review.out, HasSubstr("broken file not readable"));
}

TEST(Records, words_that_cannot_go_together_are_refused) {
  const TestFolder folder;
  const std::string scan = folder.copy_sample("roll03_01.tif").string();
  EXPECT_EQ(run_program({"review", scan, "--from", folder.string()}).status, 2);
  EXPECT_EQ(run_program({"review"}).status, 2);
  EXPECT_THAT(run_program({"review", "--from", folder.string()}).err,
              HasSubstr("holds no records"));
  const ProgramRun beside = run_program({"read", scan, "--record", folder.string()});
  EXPECT_EQ(beside.status, 2) << "a record would lie beside the scan";
}

}  // namespace
}  // namespace basefog

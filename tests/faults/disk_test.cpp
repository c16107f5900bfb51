// SPDX-License-Identifier: GPL-3.0-or-later
// Disks that are full, folders that may not be written, files that may not be read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <unistd.h>

#include <fstream>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

const std::string kScan = BASEFOG_SAMPLES "/roll/roll03_03.tif";

TEST(FullDisk, gives_whole_results_or_none_and_says_so) {
  const TestFolder folder;
  const fs::path disk = folder / "disk";
  fs::create_directory(disk);
  const fs::path whole = folder / "whole";
  ASSERT_EQ(run_program({"review", kScan, "--out", whole, "--quiet"}).status, 0);
  const auto expected = contents_of(whole);
  std::size_t bytes = 0;
  for (const auto& [name, content] : expected) bytes += content.size();
  // From no room at all to room for nearly all.
  for (const std::size_t room : {std::size_t{4096}, bytes / 3, bytes - 4096}) {
    const std::string size = "size=" + std::to_string(room);
    if (mount("tmpfs", disk.c_str(), "tmpfs", 0, size.c_str()) != 0) {
      GTEST_SKIP() << "no right to mount a small disk; the next test stands in";
    }
    const ProgramRun review = run_program({"review", kScan, "--out", disk / "out", "--quiet"});
    const auto found = contents_of(disk);
    umount(disk.c_str());
    EXPECT_EQ(review.status, 2);
    EXPECT_THAT(review.err, HasSubstr("No space left on device"));
    EXPECT_THAT(review.err, HasSubstr("has room"));
    for (const auto& [name, content] : found) {
      const std::string file = fs::path(name).filename();
      ASSERT_TRUE(expected.contains(file)) << name << " is left on the disk";
      EXPECT_EQ(content, expected.at(file)) << name;
    }
  }
}

TEST(FullDisk, or_a_quota_gives_no_half_files) {
  const TestFolder folder;
  // A limit on the size of files stands for a quota; without its signal it is an error of writing.
  const ProgramRun run = run_program({"review", kScan, "--out", folder / "out", "--quiet"},
                                     {"env", "--ignore-signal=XFSZ", "prlimit", "--fsize=20000"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("report.html: could not be written (File too large)"));
  EXPECT_THAT(contents_of(folder / "out"), IsEmpty());
}

TEST(FullDisk, at_the_end_of_standard_output_is_no_success) {
  const TestFolder folder;
  const std::string command = std::string("exec ") + BASEFOG_PROGRAM + " read " + kScan +
                              " > /dev/full 2> " + std::string(folder / "err");
  EXPECT_NE(std::system(command.c_str()), 0);
  EXPECT_THAT(content_of(folder / "err"), HasSubstr("standard output could not be written"));
}

/// Words that run a command as somebody without rights; empty where this test is nobody special.
std::vector<std::string> without_rights() {
  if (geteuid() != 0) return {};
  return {"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"};
}

class Rights : public testing::Test {
 protected:
  void SetUp() override {
    const ProgramRun run = run_program({"--version"}, without_rights());
    if (run.status != 0) GTEST_SKIP() << "cannot give up the rights of root here";
    fs::permissions(folder_.string(), fs::perms::all);
    folder_.copy_sample("roll03_03.tif");
    fs::permissions(folder_ / "roll03_03.tif", fs::perms::all);
  }
  ProgramRun run(const std::vector<std::string>& words) const {
    return run_program(words, without_rights());
  }
  TestFolder folder_;
};

TEST_F(Rights, a_folder_that_may_not_be_written_is_named_before_any_work) {
  fs::create_directory(folder_ / "closed");
  fs::permissions(folder_ / "closed", fs::perms::owner_read | fs::perms::owner_exec |
                                          fs::perms::others_read | fs::perms::others_exec);
  const ProgramRun review =
      run({"review", folder_ / "roll03_03.tif", "--out", folder_ / "closed" / "out"});
  EXPECT_EQ(review.status, 2);
  EXPECT_THAT(review.err, HasSubstr("name a folder that can be written to"));
  EXPECT_THAT(review.err, testing::Not(HasSubstr("read 1 of 1"))) << "refused before the work";
  EXPECT_EQ(run({"proof", folder_ / "roll03_03.tif", "--out", folder_ / "closed"}).status, 2);
  EXPECT_EQ(run({"read", folder_ / "roll03_03.tif", "--record", folder_ / "closed"}).status, 2);
  fs::permissions(folder_ / "closed", fs::perms::owner_all);
}

TEST_F(Rights, a_scan_that_may_not_be_read_does_not_sink_the_others) {
  std::ofstream(folder_ / "secret.tif") << "not for you";
  fs::permissions(folder_ / "secret.tif", fs::perms::none);
  const ProgramRun review = run({"review", folder_.string(), "--json", "-", "--quiet"});
  EXPECT_EQ(review.status, 1) << review.err;
  EXPECT_THAT(review.out, HasSubstr("check its permissions"));
  EXPECT_THAT(review.out, HasSubstr("\"state\": \"measured\""));
}

TEST_F(Rights, a_folder_or_a_log_that_may_not_be_read_is_named) {
  fs::create_directory(folder_ / "shut");
  fs::permissions(folder_ / "shut", fs::perms::none);
  const ProgramRun review = run({"review", folder_ / "shut"});
  EXPECT_NE(review.status, 0);
  EXPECT_THAT(review.err, HasSubstr("shut"));
  std::ofstream(folder_ / "log.csv") << "frame\n1\n";
  fs::permissions(folder_ / "log.csv", fs::perms::none);
  const ProgramRun log = run({"log", folder_ / "log.csv"});
  EXPECT_EQ(log.status, 2);
  EXPECT_THAT(log.err, HasSubstr("name a log that you may read"));
  fs::permissions(folder_ / "shut", fs::perms::owner_all);
}

}  // namespace
}  // namespace basefog

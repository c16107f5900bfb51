// SPDX-License-Identifier: GPL-3.0-or-later
// A cache that several programs use at once, that is cut off, full, or may not be written costs
// nothing but its use.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <memory>
#include <random>
#include <thread>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;

const std::string kRoll = BASEFOG_SAMPLES "/roll";
const std::vector<std::string> kReview = {"review",
                                          kRoll + "/roll03_01.tif",
                                          kRoll + "/roll03_02.tif",
                                          kRoll + "/roll03_03.tif",
                                          "--quiet",
                                          "--json",
                                          "-"};

class KeptScans : public testing::Test {
 protected:
  std::vector<std::string> under(std::vector<std::string> more = {}) const {
    more.insert(more.begin(), "env");
    more.push_back("XDG_CACHE_HOME=" + cache().string());
    return more;
  }
  fs::path cache() const { return folder_ / "cache"; }

  TestFolder folder_;
  const ProgramRun plain_ = run_program(kReview);
};

TEST_F(KeptScans, of_eight_programs_at_once_are_whole) {
  for (int round = 0; round < 2; ++round) {
    std::vector<std::unique_ptr<StartedProgram>> programs;
    for (int i = 0; i < 8; ++i) {
      programs.push_back(std::make_unique<StartedProgram>(kReview, under()));
    }
    for (const auto& program : programs) {
      const ProgramRun run = program->wait();
      EXPECT_EQ(run.status, plain_.status) << run.err;
      EXPECT_EQ(run.out, plain_.out);
    }
    EXPECT_EQ(contents_of(cache()).size(), 3U) << "nothing is left of any write";
  }
}

TEST_F(KeptScans, survive_kills) {
  std::mt19937 random(20261130);
  const auto start = std::chrono::steady_clock::now();
  run_program(kReview);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  for (int round = 0; round < 8; ++round) {
    StartedProgram program(kReview, under());
    std::this_thread::sleep_for(took * std::uniform_real_distribution<>(0.05, 1.0)(random));
    program.kill();
    program.wait();
    if (round % 2 == 0) continue;
    const ProgramRun run = run_program(kReview, under());
    EXPECT_EQ(run.status, plain_.status) << run.err;
    EXPECT_EQ(run.out, plain_.out);
    if (round % 4 == 3) fs::remove_all(cache());
  }
}

TEST_F(KeptScans, cost_nothing_where_the_disk_is_full_or_a_quota_ends) {
  std::vector<std::string> with_quota = under({"--ignore-signal=XFSZ"});
  with_quota.insert(with_quota.end(), {"prlimit", "--fsize=60000"});
  const ProgramRun quota = run_program(kReview, with_quota);
  EXPECT_EQ(quota.status, plain_.status) << quota.err;
  EXPECT_EQ(quota.out, plain_.out);
  EXPECT_EQ(quota.err, plain_.err);
  EXPECT_TRUE(contents_of(cache()).empty()) << "half an entry was left";
  if (mount("tmpfs", cache().c_str(), "tmpfs", 0, "size=65536") != 0) {
    GTEST_SKIP() << "no right to mount a small disk; the quota stands in";
  }
  const ProgramRun full = run_program(kReview, under());
  const auto left = contents_of(cache());
  umount(cache().c_str());
  EXPECT_EQ(full.status, plain_.status) << full.err;
  EXPECT_EQ(full.out, plain_.out);
  EXPECT_TRUE(left.empty());
}

TEST_F(KeptScans, cost_nothing_where_the_home_may_not_be_written) {
  // A file where the folder would be stops root too.
  std::ofstream(cache()) << "a file";
  const ProgramRun closed = run_program(kReview, under());
  EXPECT_EQ(closed.status, plain_.status) << closed.err;
  EXPECT_EQ(closed.out, plain_.out);
  EXPECT_EQ(closed.err, plain_.err);
  EXPECT_EQ(content_of(cache()), "a file");
  if (geteuid() != 0) return;
  fs::create_directory(folder_ / "home");
  fs::permissions(folder_ / "home",
                  fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
  const ProgramRun other =
      run_program(kReview, {"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", "env",
                            "-u", "XDG_CACHE_HOME", "HOME=" + std::string(folder_ / "home")});
  EXPECT_EQ(other.status, plain_.status) << other.err;
  EXPECT_EQ(other.out, plain_.out);
  EXPECT_EQ(other.err, plain_.err);
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/scan_watch.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>

#include "test_folder.hpp"

namespace basefog::desk {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

class Watch : public testing::Test {
 protected:
  Watch()
      : folder_(test::test_folder() /
                testing::UnitTest::GetInstance()->current_test_info()->name()),
        watch_(folder_) {
    fs::create_directories(folder_);
  }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::app) << text;
  }
  ScanWatch::Look after(std::chrono::milliseconds time) { return watch_.look(start_ + time); }

  fs::path folder_;
  ScanWatch watch_;
  ScanWatch::Clock::time_point start_{1h};
};

TEST_F(Watch, waits_until_a_file_is_still) {
  write("a.tif", "one");
  EXPECT_TRUE(after(0ms).settled.empty());
  EXPECT_TRUE(after(400ms).settled.empty());
  write("a.tif", "two");
  EXPECT_TRUE(after(800ms).settled.empty());
  EXPECT_TRUE(after(1400ms).settled.empty());
  const ScanWatch::Look look = after(1600ms);
  ASSERT_EQ(look.settled.size(), 1U);
  EXPECT_EQ(look.settled[0].file, folder_ / "a.tif");
  const std::uint64_t first = look.settled[0].print;
  EXPECT_EQ(after(9s).settled.at(0).print, first);
  write("a.tif", "scanned again");
  EXPECT_TRUE(after(10s).settled.empty());
  EXPECT_NE(after(11s).settled.at(0).print, first);
}

TEST_F(Watch, waits_while_a_program_has_the_file_open) {
  write("a.tif", "one");
  const int fd = ::open((folder_ / "a.tif").c_str(), O_WRONLY | O_APPEND);
  ASSERT_GE(fd, 0);
  if (!is_being_written(folder_ / "a.tif")) GTEST_SKIP() << "this file system has no leases";
  after(0ms);
  EXPECT_TRUE(after(60s).settled.empty()) << "a scanner that thinks for a minute";
  ::close(fd);
  EXPECT_EQ(after(61s).settled.size(), 1U);
}

TEST_F(Watch, sees_scans_alone_in_the_order_of_the_film) {
  for (const char* name : {"roll_10.tif", "roll_2.tif", "notes.txt", "log.csv"}) write(name, "x");
  fs::create_directory(folder_ / "sub.tif");
  after(0ms);
  const ScanWatch::Look look = after(1s);
  ASSERT_EQ(look.settled.size(), 2U);
  EXPECT_EQ(look.settled[0].file.filename(), "roll_2.tif");
  EXPECT_EQ(look.settled[1].file.filename(), "roll_10.tif");
}

TEST_F(Watch, does_not_mind_a_folder_that_went_away) {
  write("a.tif", "x");
  after(0ms);
  fs::remove_all(folder_);
  EXPECT_TRUE(after(1s).all.empty());
  fs::create_directory(folder_);
  EXPECT_TRUE(after(2s).all.empty());
}

TEST_F(Watch, an_empty_file_is_no_scan_yet) {
  write("a.tif", "");
  after(0ms);
  EXPECT_TRUE(after(10s).settled.empty());
}

}  // namespace
}  // namespace basefog::desk

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/whole_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <chrono>
#include <fstream>
#include <functional>
#include <future>
#include <iterator>
#include <string>
#include <utility>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;

/// What a test wants to see at the moment at which a file is given to the disk.
std::function<void(int)> on_sync;

}  // namespace
}  // namespace basefog

/// Stands before the system's own, whoever calls it in this program.
extern "C" int fsync(int fd) {
  if (basefog::on_sync) basefog::on_sync(fd);
  return static_cast<int>(::syscall(SYS_fsync, fd));
}

namespace basefog {
namespace {

class WholeFile : public ::testing::Test {
 protected:
  WholeFile() { fs::remove_all(folder); }
  ~WholeFile() override { fs::remove_all(folder); }
  std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  fs::path folder = test::test_folder() / "whole file, \"quoted\"";
};

TEST_F(WholeFile, is_written_and_replaced_with_nothing_left_beside_it) {
  write_whole_file(folder / "a" / "x.csv", "one");
  write_whole_file(folder / "a" / "x.csv", std::string("two\0three", 9));
  EXPECT_EQ(content(folder / "a" / "x.csv"), std::string("two\0three", 9));
  EXPECT_EQ(std::distance(fs::directory_iterator(folder / "a"), {}), 1);
}

TEST_F(WholeFile, leaves_the_old_file_when_the_new_cannot_be_written) {
  write_whole_file(folder / "x", "old");
  try {
    write_whole_file(folder / "x" / "y", "new");  // a file where a folder would have to be
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::not_writable);
    EXPECT_THAT(error.what(), ::testing::HasSubstr("y: could not be written ("));
  }
  EXPECT_EQ(content(folder / "x"), "old");
}

TEST_F(WholeFile, may_have_a_name_without_a_folder) {
  fs::create_directories(folder);
  const fs::path before = fs::current_path();
  fs::current_path(folder);
  EXPECT_NO_THROW(write_whole_file("new.csv", "text"));
  fs::current_path(before);
  EXPECT_EQ(content(folder / "new.csv"), "text");
}

TEST_F(WholeFile, has_the_usual_permissions) {
  write_whole_file(folder / "x", "text");
  EXPECT_NE(fs::status(folder / "x").permissions() & fs::perms::group_read, fs::perms::none);
}

/// A power cut after the new name is there must not leave it without its content.
TEST_F(WholeFile, is_on_the_disk_whole_before_it_has_its_name) {
  write_whole_file(folder / "x", "old");
  int syncs = 0;
  on_sync = [&](int fd) {
    struct stat synced {};
    ASSERT_EQ(::fstat(fd, &synced), 0);
    EXPECT_EQ(synced.st_size, 9);
    EXPECT_EQ(content(folder / "x"), "old");
    ++syncs;
  };
  write_whole_file(folder / "x", "all of it");
  on_sync = nullptr;
  EXPECT_EQ(syncs, 1);
  EXPECT_EQ(content(folder / "x"), "all of it");
}

TEST_F(WholeFile, of_two_writers_at_once_is_one_after_the_other) {
  std::future<void> other;
  bool first = true;
  on_sync = [&](int) {
    if (!std::exchange(first, false)) return;
    other = std::async(std::launch::async, [&] { write_whole_file(folder / "x", "the other's"); });
    // It writes into the file that is just being given to the disk, unless it waits for it.
    EXPECT_EQ(other.wait_for(std::chrono::milliseconds(50)), std::future_status::timeout);
  };
  write_whole_file(folder / "x", "the first one's, which is longer");
  other.get();
  on_sync = nullptr;
  EXPECT_EQ(content(folder / "x"), "the other's");
}

TEST(NameWithin, keeps_what_fits_and_tells_apart_what_does_not) {
  const std::string fits(60, 'x');
  EXPECT_EQ(name_within(fits, 60), fits);
  const std::string one = std::string(100, 'a') + "left" + std::string(100, 'b');
  const std::string other = std::string(100, 'a') + "rite" + std::string(100, 'b');
  EXPECT_EQ(name_within(one, 60).size(), 60U);
  EXPECT_NE(name_within(one, 60), name_within(other, 60));
  EXPECT_EQ(name_within(one, 60), name_within(one, 60));
  EXPECT_TRUE(name_within(one, 60).starts_with("aaaa"));
  EXPECT_TRUE(name_within(one, 60).ends_with("bbbb"));
}

TEST(NameWithin, cuts_between_letters) {
  std::string name;
  for (int i = 0; i < 100; ++i) name += "\u00E9";
  for (std::size_t most = 60; most < 64; ++most) {
    const std::string cut = name_within(name, most);
    EXPECT_LE(cut.size(), most);
    const std::size_t head = cut.find('_');
    const std::size_t tail = cut.rfind('_') + 1;
    EXPECT_EQ(head % 2, 0U) << cut;
    EXPECT_EQ((cut.size() - tail) % 2, 0U) << cut;
    EXPECT_TRUE(name.starts_with(cut.substr(0, head)));
    EXPECT_TRUE(name.ends_with(cut.substr(tail)));
  }
}

}  // namespace
}  // namespace basefog

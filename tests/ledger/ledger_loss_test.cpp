// SPDX-License-Identifier: GPL-3.0-or-later
// What must never lose a roll: two programs at once, a kill in the middle of writing, a full disk.
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <functional>
#include <set>
#include <thread>

#include "basefog/core/error.hpp"
#include "basefog/ledger/ledger.hpp"
#include "ledger/remembered_rolls.hpp"
#include "test_folder.hpp"

namespace {
int times_given_to_the_disk = 0;
}

/// Stand before the system's own, whoever calls them in this program.
extern "C" int fsync(int fd) {
  ++times_given_to_the_disk;
  return static_cast<int>(syscall(SYS_fsync, fd));
}
extern "C" int fdatasync(int fd) {
  ++times_given_to_the_disk;
  return static_cast<int>(syscall(SYS_fdatasync, fd));
}

namespace basefog::ledger {
namespace {

using test::expect_same;
using test::remembered;

std::filesystem::path fresh(const std::string& name) {
  const std::filesystem::path path = test::test_folder() / name;
  for (const char* part : {"", "-wal", "-shm"}) std::filesystem::remove(path.string() + part);
  return path;
}

/// Runs work in a process of its own; its return is the exit status.
pid_t start(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) {
    try {
      _exit(work());
    } catch (const std::exception& error) {
      std::fputs((std::string(error.what()) + "\n").c_str(), stderr);
      _exit(99);
    }
  }
  return child;
}

int finish(pid_t child) {
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/// Remembers rolls one after the other and tells each by a byte once it is kept.
int remember_and_tell(const std::filesystem::path& path, int out, int first, int rolls) {
  Ledger ledger(path, Ledger::Access::write);
  for (int i = first; i < first + rolls; ++i) {
    ledger.remember(remembered(std::to_string(i)));
    const char told = 1;
    if (write(out, &told, 1) != 1) return 1;
  }
  return 0;
}

int bytes_in(int pipe_end) {
  int count = 0;
  char byte = 0;
  while (read(pipe_end, &byte, 1) == 1) ++count;
  return count;
}

/// Every roll whole, and rolls 0 to kept-1 there.
void expect_all_kept(const std::filesystem::path& path, int kept) {
  std::set<std::string> names;
  for (const meter::RememberedRoll& roll : Ledger(path, Ledger::Access::read).rolls()) {
    expect_same(roll, remembered(roll.name));
    names.insert(roll.name);
  }
  for (int i = 0; i < kept; ++i) EXPECT_TRUE(names.contains(std::to_string(i))) << i;
}

TEST(LedgerLoss, two_programs_at_once_lose_nothing) {
  const auto path = fresh("two_programs.db");
  std::vector<pid_t> children;
  for (int k = 0; k < 3; ++k) {
    children.push_back(start([&] {
      for (int i = 0; i < 12; ++i) {
        // Opened anew each time, as by separate commands; the first makes the file.
        Ledger(path, Ledger::Access::write).remember(remembered(std::to_string(12 * k + i)));
      }
      return 0;
    }));
  }
  for (const pid_t child : children) EXPECT_EQ(finish(child), 0);
  expect_all_kept(path, 36);
  EXPECT_EQ(Ledger(path, Ledger::Access::read).rolls().size(), 36U);
}

/// A power cut after that loses nothing. Only the first roll makes the file and what is beside it.
TEST(LedgerLoss, each_roll_is_given_to_the_disk_before_it_is_said_to_be_kept) {
  Ledger ledger(fresh("disk.db"), Ledger::Access::write);
  for (const char* name : {"1", "2", "3"}) {
    times_given_to_the_disk = 0;
    ledger.remember(remembered(name));
    EXPECT_GE(times_given_to_the_disk, 1) << name;
  }
}

TEST(LedgerLoss, a_kill_in_the_middle_loses_nothing_that_was_told) {
  const auto path = fresh("kill.db");
  int kept = 0;
  for (int round = 0; round < 12; ++round) {
    std::array<int, 2> ends{};
    ASSERT_EQ(pipe(ends.data()), 0);
    const pid_t child = start([&] { return remember_and_tell(path, ends[1], kept, 100000); });
    close(ends[1]);
    char first = 0;
    ASSERT_EQ(read(ends[0], &first, 1), 1);
    // At other points of the write each time.
    std::this_thread::sleep_for(std::chrono::microseconds(700 * round + 13 * round * round));
    kill(child, SIGKILL);
    finish(child);
    kept += 1 + bytes_in(ends[0]);
    close(ends[0]);
    expect_all_kept(path, kept);
    // One may have been kept and not told any more; the next round replaces it.
  }
  EXPECT_GE(kept, 12);
}

/// Fills the disk, or what stands for it, and sees that what was told is kept and the error is
/// understood; then, with room again, that the next roll goes in.
void expect_full_disk_loses_nothing(const std::filesystem::path& path,
                                    const std::function<void()>& limit) {
  std::array<int, 2> ends{};
  ASSERT_EQ(pipe(ends.data()), 0);
  const pid_t child = start([&] {
    limit();
    try {
      remember_and_tell(path, ends[1], 0, 100000);
    } catch (const InputError& error) {
      return error.code() == ErrorCode::not_writable ? 42 : 43;
    }
    return 0;
  });
  close(ends[1]);
  EXPECT_EQ(finish(child), 42);
  const int kept = bytes_in(ends[0]);
  close(ends[0]);
  EXPECT_GE(kept, 1);
  expect_all_kept(path, kept);
}

TEST(LedgerLoss, a_file_that_may_not_grow_loses_nothing) {
  const auto path = fresh("no_room.db");
  expect_full_disk_loses_nothing(path, [] {
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{200000, 200000};
    setrlimit(RLIMIT_FSIZE, &limit);
  });
  EXPECT_FALSE(Ledger(path, Ledger::Access::write).remember(remembered("after")));
}

TEST(LedgerLoss, a_full_disk_loses_nothing) {
  const auto disk = test::test_folder() / "small_disk";
  std::filesystem::create_directories(disk);
  if (mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=400k") != 0) {
    GTEST_SKIP() << "no right to mount a small disk; the test before this one stands in";
  }
  expect_full_disk_loses_nothing(disk / "ledger.db", [] {});
  umount(disk.c_str());
}

}  // namespace
}  // namespace basefog::ledger

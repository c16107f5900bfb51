// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/apart/processes.hpp"

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <thread>

#include "test_folder.hpp"

namespace basefog::apart {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

constexpr Limits kLimits{.memory_bytes = std::uint64_t{1} << 31, .seconds = 1};

std::string content_of(std::string_view file) {
  std::ifstream in{std::string(file)};
  if (!in) return "cannot open";
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string outcome(bool done) { return done ? "done" : std::string("fails ") + strerror(errno); }

/// A decoder as the worst of files might make it.
void misbehave(std::string_view request, const Answer& answer) {
  const std::string_view word = request.substr(0, request.find(' '));
  const std::string_view rest = request.substr(std::min(request.size(), word.size() + 1));
  if (word == "echo") answer(rest);
  if (word == "twice") answer("one"), answer("two");
  if (word == "abort") std::abort();
  if (word == "crash") *static_cast<volatile int*>(nullptr) = 1;
  if (word == "wait") answer(std::to_string(::getpid()));
  if (word == "endless" || word == "wait") {
    for (volatile bool always = true; always;) {
    }
  }
  if (word == "half") static_cast<void>(!::write(3, "\xff\0\0\0", 4));
  if (word == "much") {
    try {
      const std::vector<char> bytes(std::size_t{3} << 30);
      answer("had " + std::to_string(bytes.size()));
    } catch (const std::bad_alloc&) {
      answer("no memory");
    }
  }
  if (word == "read") answer(content_of(rest));
  if (word == "write")
    answer(outcome(::open(std::string(rest).c_str(), O_WRONLY | O_CREAT, 0600) >= 0));
  if (word == "socket") answer(outcome(::socket(AF_INET, SOCK_STREAM, 0) >= 0));
  if (word == "fork") answer(outcome(::fork() >= 0));
  if (word == "run") answer(outcome(::execl("/bin/true", "true", nullptr) == 0));
  if (word == "signal") answer(outcome(::kill(::getppid(), 0) == 0));
  if (word == "thread") {
    std::string text = "none";
    std::thread([&text] { text = "ran"; }).join();
    answer(text);
  }
}

class ProcessesTest : public testing::Test {
 protected:
  std::string ask(const std::string& request, std::vector<fs::path> files = {}) const {
    std::string all;
    processes_->run({.request = request, .files = std::move(files), .limits = kLimits},
                    [&all](std::string_view answer) { all += answer; });
    return all;
  }
  std::string fault(const std::string& request) const {
    try {
      ask(request);
    } catch (const Broken& broken) {
      return broken.what();
    }
    return "";
  }
  /// Sanitizers take memory and signals their own way.
  static bool plain() {
#ifdef __SANITIZE_ADDRESS__
    return false;
#else
    return true;
#endif
  }

  std::shared_ptr<const Processes> processes_ = Processes::start(misbehave);
};

TEST_F(ProcessesTest, answers_come_back_as_they_were_given) {
  EXPECT_EQ(ask("echo hello"), "hello");
  EXPECT_EQ(ask("twice"), "onetwo");
  const std::string large(3'000'000, 'x');
  EXPECT_EQ(ask("echo " + large), large);
  EXPECT_EQ(ask("thread"), "ran");
}

TEST_F(ProcessesTest, a_process_that_breaks_says_how_and_the_next_is_whole) {
  EXPECT_THAT(fault("abort"), HasSubstr("crashed"));
  EXPECT_EQ(ask("echo after"), "after");
  if (plain()) {
    EXPECT_EQ(fault("crash"), "crashed (signal 11)");
  }
  try {
    // As the kernel does where memory runs out.
    processes_->run({.request = "wait", .files = {}, .limits = kLimits},
                    [](std::string_view pid) { ::kill(std::stoi(std::string(pid)), SIGKILL); });
    ADD_FAILURE() << "lived on";
  } catch (const Broken& broken) {
    EXPECT_THAT(broken.what(), HasSubstr("was killed, as where memory runs out"));
  }
  EXPECT_EQ(fault("half"), "");
  EXPECT_EQ(ask("echo after"), "after");
}

TEST_F(ProcessesTest, time_and_memory_are_bounded) {
  EXPECT_EQ(fault("endless"), "did not come to an end");
  if (plain()) {
    EXPECT_EQ(ask("much"), "no memory");
  }
}

TEST_F(ProcessesTest, several_threads_may_ask_at_once) {
  std::vector<std::string> answers(8);
  {
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < answers.size(); ++i) {
      threads.emplace_back([&, i] {
        for (int k = 0; k < 20; ++k) answers[i] = ask("echo " + std::to_string(i));
        if (i % 2 == 0) answers[i] += fault("abort").substr(0, 7);
      });
    }
  }
  for (std::size_t i = 0; i < answers.size(); ++i) {
    EXPECT_EQ(answers[i], std::to_string(i) + (i % 2 == 0 ? "crashed" : ""));
  }
}

TEST_F(ProcessesTest, a_program_with_threads_starts_no_server) {
  std::jthread other([](const std::stop_token& stop) {
    while (!stop.stop_requested()) std::this_thread::yield();
  });
  EXPECT_EQ(Processes::start(misbehave), nullptr);
}

// What the kernel says of both: docs.kernel.org, "Seccomp BPF" and "Landlock".
TEST_F(ProcessesTest, only_its_own_file_can_be_read_and_nothing_else_be_done) {
  const Confinement kept = processes_->confinement();
  EXPECT_TRUE(kept.processes);
  const fs::path own = test::test_folder() / "own.txt";
  const fs::path other = test::test_folder() / "other.txt";
  std::ofstream(own) << "own";
  std::ofstream(other) << "other";
  EXPECT_EQ(ask("read " + own.string(), {own}), "own");
  if (kept.files) {
    EXPECT_EQ(ask("read " + other.string(), {own}), "cannot open");
    EXPECT_EQ(ask("read /etc/passwd", {own}), "cannot open");
  }
  if (!kept.calls) GTEST_SKIP() << "this system has no seccomp";
  for (const char* request : {"socket", "fork", "run", "signal"}) {
    EXPECT_THAT(ask(request), HasSubstr("fails Operation not permitted")) << request;
  }
  EXPECT_THAT(ask("write " + own.string(), {own}), HasSubstr("fails"));
  EXPECT_THAT(ask("write " + (test::test_folder() / "new").string(), {own}), HasSubstr("fails"));
  EXPECT_FALSE(fs::exists(test::test_folder() / "new"));
  EXPECT_EQ(content_of(own.string()), "own");
}

}  // namespace
}  // namespace basefog::apart

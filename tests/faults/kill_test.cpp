// SPDX-License-Identifier: GPL-3.0-or-later
// kill -9 at random moments: outputs are whole or absent, the ledger is consistent, inputs are as
// they were. BASEFOG_KILLS=200 build/tests/faults/faults_test --gtest_filter='Kill.*' is the long
// run.
#include <gtest/gtest.h>
#include <sqlite3.h>

#include <chrono>
#include <cstdlib>
#include <memory>
#include <random>
#include <thread>

#include "basefog/ledger/ledger.hpp"
#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

int kills() {
  const char* wanted = std::getenv("BASEFOG_KILLS");
  return wanted != nullptr ? std::atoi(wanted) : 5;
}

const std::vector<std::string> kNames = {"roll03_01.tif", "roll03_02.tif", "roll03_03.tif",
                                         "roll03_04.tif", "roll03_05.tif", "roll03_06.tif",
                                         "roll03_07.tif", "roll03_08.tif"};

/// A few scans and the log, their contents, and how long the command takes undisturbed.
class Kill : public testing::Test {
 protected:
  Kill() {
    fs::create_directory(in());
    for (const std::string& name : kNames) {
      fs::copy_file(fs::path(BASEFOG_SAMPLES) / "roll" / name, in() / name);
    }
    fs::copy_file(fs::path(BASEFOG_SAMPLES) / "roll" / "log.csv", in() / "log.csv");
    inputs_ = contents_of(in());
  }

  fs::path in() const { return folder_ / "in"; }
  std::string log() const { return in() / "log.csv"; }

  void time(const std::vector<std::string>& words) {
    const auto start = Clock::now();
    const ProgramRun run = run_program(words);
    took_ = Clock::now() - start;
    ASSERT_EQ(run.status, 0) << run.err;
  }

  /// Half of the kills at any moment, half near the end, where things are written.
  bool run_and_kill(const std::vector<std::string>& words, int round) {
    std::uniform_real_distribution<double> any(round % 2 == 0 ? 0 : 0.75, 1.05);
    StartedProgram program(words);
    std::this_thread::sleep_for(took_ * any(random_));
    program.kill();
    const bool killed = program.wait().status == -1;
    EXPECT_EQ(contents_of(in()), inputs_) << "an input was touched";
    return killed;
  }

  /// Kills the command again and again, writing into a folder that is empty or holds the results of
  /// another run; `words` ends where the folder's name belongs.
  void outputs_stay_whole(std::vector<std::string> words) {
    words.push_back(folder_ / "whole");
    time(words);
    const auto whole = contents_of(folder_ / "whole");
    ASSERT_FALSE(whole.empty());
    int killed = 0;
    for (int round = 0; round < kills(); ++round) {
      words.back() = folder_ / (round % 3 == 0 ? "empty" : "whole");
      if (round % 3 == 0) fs::remove_all(folder_ / "empty");
      killed += run_and_kill(words, round) ? 1 : 0;
      for (const auto& [name, content] : contents_of(words.back())) {
        const std::string file = fs::path(name).filename();
        if (file.starts_with(".basefog-") && file.ends_with(".part")) continue;
        ASSERT_TRUE(whole.contains(name)) << name;
        EXPECT_EQ(content, whole.at(name)) << name << " is no whole file";
      }
    }
    EXPECT_GT(killed, 0);
    // The next run finds nothing in its way, and nothing is left of those before it.
    words.back() = folder_ / "whole";
    EXPECT_EQ(run_program(words).status, 0);
    EXPECT_EQ(contents_of(folder_ / "whole"), whole);
  }

  TestFolder folder_;

 private:
  std::map<std::string, std::string> inputs_;
  std::chrono::duration<double> took_{};
  std::mt19937 random_{20261125};
};

TEST_F(Kill, of_a_review_leaves_results_whole) {
  outputs_stay_whole({"review", in(), "--log", log(), "--sidecar", "--quiet", "--out"});
}

TEST_F(Kill, of_proofs_leaves_them_whole) {
  outputs_stay_whole({"proof", in(), "--format", "tiff", "--quiet", "--out"});
}

TEST_F(Kill, of_reading_leaves_records_whole) { outputs_stay_whole({"read", in(), "--record"}); }

/// "ok" where SQLite finds nothing wrong with the file.
std::string integrity_of(const fs::path& ledger) {
  sqlite3* opened = nullptr;
  sqlite3_open(ledger.c_str(), &opened);
  const std::unique_ptr<sqlite3, int (*)(sqlite3*)> database(opened, sqlite3_close);
  std::string answer;
  sqlite3_exec(
      opened, "PRAGMA integrity_check",
      [](void* to, int, char** columns, char**) {
        *static_cast<std::string*>(to) += columns[0];
        return 0;
      },
      &answer, nullptr);
  return answer;
}

TEST_F(Kill, of_remembering_keeps_the_roll_or_does_not) {
  const fs::path ledger = folder_ / "ledger.db";
  const auto remember = [&](const std::string& name) {
    return std::vector<std::string>{"review",     in(),       "--log", log(),    "--quiet",
                                    "--remember", "--ledger", ledger,  "--roll", name};
  };
  time(remember("first"));
  const std::size_t frames =
      ledger::Ledger(ledger, ledger::Ledger::Access::read).rolls().front().deviations.size();
  ASSERT_GT(frames, 0U);
  int killed = 0;
  for (int round = 0; round < kills(); ++round) {
    killed += run_and_kill(remember("roll " + std::to_string(round)), round) ? 1 : 0;
    EXPECT_EQ(integrity_of(ledger), "ok");
    const auto rolls = ledger::Ledger(ledger, ledger::Ledger::Access::read).rolls();
    EXPECT_GE(rolls.size(), 1U);
    EXPECT_LE(rolls.size(), 2U + round);
    for (const meter::RememberedRoll& roll : rolls) EXPECT_EQ(roll.deviations.size(), frames);
  }
  EXPECT_GT(killed, 0);
  EXPECT_EQ(run_program(remember("last")).status, 0);
}

}  // namespace
}  // namespace basefog

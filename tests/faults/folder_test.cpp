// SPDX-License-Identifier: GPL-3.0-or-later
// Folders that change under a run, that are full, that lead to themselves, and that two runs share.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "basefog/core/limits.hpp"
#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

const fs::path kRoll = fs::path(BASEFOG_SAMPLES) / "roll";

void copy_scans(const fs::path& to, int count) {
  fs::create_directories(to);
  for (int k = 1; k <= count; ++k) {
    char name[24];
    std::snprintf(name, sizeof name, "roll03_%02d.tif", k);
    fs::copy_file(kRoll / name, to / name);
  }
}

/// States of the frames of a review on standard output, by file name.
std::map<std::string, std::string> states_of(const std::string& json) {
  std::map<std::string, std::string> states;
  const auto review = nlohmann::json::parse(json);
  for (const auto& frame : review.at("frames")) {
    states[fs::path(frame.at("file").get<std::string>()).filename()] = frame.at("state");
  }
  return states;
}

// The other files must be read whatever happens to one; what happened to it is a matter of timing.
TEST(ChangingFolder, a_file_that_vanishes_is_replaced_or_grows_does_not_sink_the_others) {
  for (int round = 0; round < 6; ++round) {
    const TestFolder folder;
    copy_scans(folder / "in", 8);
    StartedProgram program({"review", folder / "in", "--json", "-", "--quiet"});
    std::this_thread::sleep_for(std::chrono::milliseconds(20 + 50 * round));
    fs::remove(folder / "in" / "roll03_05.tif");
    std::ofstream(folder / "in" / "roll03_06.tif") << "no scan any more";
    std::ofstream(folder / "in" / "roll03_07.tif", std::ios::app) << std::string(100'000, 'x');
    fs::resize_file(folder / "in" / "roll03_08.tif", 30'000);
    const ProgramRun run = program.wait();
    ASSERT_TRUE(run.status == 0 || run.status == 1) << run.status << run.err;
    const auto states = states_of(run.out);
    EXPECT_GE(states.size(), 7U) << "all but the one that may be gone before the folder is listed";
    for (const char* name : {"roll03_01.tif", "roll03_02.tif", "roll03_03.tif", "roll03_04.tif"}) {
      EXPECT_EQ(states.at(name), "measured") << name;
    }
  }
}

TEST(Links, that_lead_to_themselves_or_nowhere_are_left_out_and_named_when_asked_for) {
  const TestFolder folder;
  copy_scans(folder / "in", 2);
  fs::create_symlink("loop.tif", folder / "in" / "loop.tif");
  fs::create_symlink("b.tif", folder / "in" / "a.tif");
  fs::create_symlink("a.tif", folder / "in" / "b.tif");
  fs::create_symlink("nowhere", folder / "in" / "dangling.tif");
  fs::create_directory_symlink(folder / "in", folder / "in" / "again");
  fs::create_symlink("roll03_01.tif", folder / "in" / "same.tif");  // a scan once, not twice
  const ProgramRun review = run_program({"review", folder / "in", "--json", "-", "--quiet"});
  EXPECT_EQ(review.status, 0) << review.err;
  EXPECT_EQ(states_of(review.out).size(), 2U);

  const ProgramRun named = run_program({"read", folder / "in" / "loop.tif", folder / "in" / "a.tif",
                                        folder / "in" / "roll03_02.tif"});
  EXPECT_EQ(named.status, 1);
  EXPECT_THAT(named.err, HasSubstr("loop.tif"));
  EXPECT_THAT(named.err, HasSubstr("a.tif"));

  fs::create_directory_symlink("round", folder / "round");
  EXPECT_NE(run_program({"review", folder / "round"}).status, 0);
  EXPECT_EQ(run_program({"review", folder / "in", "--out", folder / "round"}).status, 2);
  // A link into the inputs is among the inputs.
  fs::create_directory_symlink(folder / "in", folder / "elsewhere");
  EXPECT_EQ(run_program({"review", folder / "in", "--out", folder / "elsewhere"}).status, 2);
}

TEST(FullFolder, of_ten_thousand_scans_is_no_roll_and_refused_at_once) {
  const TestFolder folder;
  fs::create_directory(folder / "in");
  const fs::path one = folder.write("one", "not even a scan");
  for (int k = 0; k < 10'000; ++k) {
    fs::create_hard_link(one, folder / "in" / (std::to_string(k) + ".tif"));
  }
  // Hard links are files of their own.
  const ProgramRun review = run_program({"review", folder / "in"});
  EXPECT_EQ(review.status, 2);
  EXPECT_THAT(review.err, HasSubstr("holds 10000 scans, and one review takes at most 1000"));
  EXPECT_THAT(review.err, HasSubstr("put each roll into a folder of its own"));

  // Read one by one there is no such limit; each file's fault is named.
  const ProgramRun read = run_program({"read", folder / "in"});
  EXPECT_EQ(read.status, 3);
  EXPECT_EQ(std::count(read.err.begin(), read.err.end(), '\n'), 10'000);

  // Their records are no roll either.
  fs::create_directory(folder / "records");
  ASSERT_EQ(
      run_program({"read", folder / "in" / "1.tif", "--record", folder / "one-record"}).status, 3);
  for (int k = 0; k < 1'001; ++k) {
    fs::copy_file(folder / "one-record" / "1.tif.json",
                  folder / "records" / (std::to_string(k) + ".json"));
  }
  const ProgramRun merged = run_program({"review", "--from", folder / "records"});
  EXPECT_EQ(merged.status, 2);
  EXPECT_THAT(merged.err, HasSubstr("holds 1001 scans"));
}

TEST(SharedFolder, two_runs_at_once_leave_whole_files_of_one_or_the_other) {
  const TestFolder folder;
  copy_scans(folder / "first", 3);
  copy_scans(folder / "second", 4);
  const auto words = [&](const char* roll, const fs::path& out) {
    return std::vector<std::string>{"review", folder / roll, "--out", out, "--quiet"};
  };
  ASSERT_EQ(run_program(words("first", folder / "first-alone")).status, 0);
  ASSERT_EQ(run_program(words("second", folder / "second-alone")).status, 0);
  const auto first = contents_of(folder / "first-alone");
  const auto second = contents_of(folder / "second-alone");
  for (int round = 0; round < 3; ++round) {
    StartedProgram a(words("first", folder / "shared"));
    StartedProgram b(words("second", folder / "shared"));
    StartedProgram c(words("first", folder / "shared"));
    for (StartedProgram* run : {&a, &b, &c}) {
      const ProgramRun result = run->wait();
      EXPECT_EQ(result.status, 0) << result.err;
    }
    const auto shared = contents_of(folder / "shared");
    EXPECT_EQ(shared.size(), first.size()) << "something is left over";
    for (const auto& [name, content] : shared) {
      ASSERT_TRUE(first.contains(name)) << name;
      EXPECT_TRUE(content == first.at(name) || content == second.at(name)) << name;
    }
  }
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
// The world around the program: scans swapped under its hands, writers and readers that are slow,
// clocks that jump, other processes, locales, narrow terminals, no room for temporary files.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/mount.h>
#include <unistd.h>

#include <chrono>
#include <clocale>
#include <filesystem>
#include <fstream>
#include <locale>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>
#include <thread>

#include "basefog/ledger/ledger.hpp"
#include "basefog/report/report.hpp"
#include "basefog/roll/analysis.hpp"
#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string kRoll = BASEFOG_SAMPLES "/roll";

/// What a review says of the frames of one scan, in the order of its table, its path left out.
std::string numbers_of(const fs::path& scan, const std::vector<std::string>& under = {}) {
  const ProgramRun run = run_program({"review", scan, "--quiet", "--json", "-"}, under);
  EXPECT_EQ(run.status, 0) << run.err;
  auto frame = nlohmann::json::parse(run.out).at("frames").at(0);
  frame.erase("file");
  return frame.dump();
}

std::vector<std::string> with_cache(const fs::path& cache) {
  return {"env", "XDG_CACHE_HOME=" + cache.string()};
}

TEST(World, a_scan_that_is_swapped_is_read_as_one_or_the_other_and_next_time_as_what_lies_there) {
  const TestFolder folder;
  fs::create_directory(folder / "in");
  const fs::path scan = folder / "in" / "a.tif";
  const auto put = [&](const char* sample) {
    // Whole at once, as programs that save do.
    fs::copy_file(kRoll + "/" + sample, folder / "next", fs::copy_options::overwrite_existing);
    fs::rename(folder / "next", scan);
  };
  put("roll03_03.tif");
  const std::string first = numbers_of(scan);
  put("roll03_05.tif");
  const std::string second = numbers_of(scan);
  ASSERT_NE(first, second);
  const auto cached = with_cache(folder / "cache");
  for (int round = 0; round < 6; ++round) {
    put("roll03_03.tif");
    StartedProgram program({"review", scan, "--quiet", "--json", "-"}, cached);
    std::this_thread::sleep_for(std::chrono::milliseconds(3 + 12 * round));
    put("roll03_05.tif");
    const ProgramRun run = program.wait();
    ASSERT_EQ(run.status, 0) << run.err;
    auto frame = nlohmann::json::parse(run.out).at("frames").at(0);
    frame.erase("file");
    EXPECT_TRUE(frame.dump() == first || frame.dump() == second) << round;
    EXPECT_EQ(numbers_of(scan, cached), second) << round;
  }
}

TEST(World, a_clock_that_jumps_gives_no_stale_numbers) {
  const TestFolder folder;
  fs::create_directory(folder / "in");
  const fs::path scan = folder / "in" / "a.tif";
  fs::copy_file(kRoll + "/roll03_03.tif", scan);
  const auto cached = with_cache(folder / "cache");
  const auto years = [](int n) { return std::chrono::hours(24 * 365 * n); };
  const std::string before = numbers_of(scan);
  const auto now = fs::last_write_time(scan);
  for (const auto time : {now + years(20), now - years(80), now}) {
    fs::last_write_time(scan, time);
    EXPECT_EQ(numbers_of(scan, cached), before);
    EXPECT_EQ(numbers_of(scan, cached), before) << "from the cache";
  }
  // Other codes under the same size and time of writing.
  {
    std::fstream out(scan, std::ios::binary | std::ios::in | std::ios::out);
    const auto size = static_cast<std::streamoff>(fs::file_size(scan));
    for (std::streamoff at = size / 4; at < 3 * size / 4; at += 2) {
      out.seekp(at | 1);
      out.put('\x08');
    }
  }
  fs::last_write_time(scan, now);
  const std::string after = numbers_of(scan);
  ASSERT_NE(after, before);
  EXPECT_EQ(numbers_of(scan, cached), after);
}

// File systems in user space are not to be had everywhere; pipes that trickle stand for slow ones.
// The page is longer than a pipe holds.
TEST(World, a_log_that_trickles_in_and_a_reader_that_dawdles_are_waited_for) {
  const auto page = [](const std::string& from, const std::string& to) {
    const ProgramRun run =
        run_program({"review", kRoll + "/roll03_03.tif", "--log", "-", "--quiet", "--html", "-"},
                    {"bash", "-c", from + " | \"$@\" | " + to + "; exit ${PIPESTATUS[1]}", "bash"});
    EXPECT_EQ(run.status, 0) << run.err;
    return run.out;
  };
  const std::string log = "'" + kRoll + "/log.csv'";
  const std::string quick = page("cat " + log, "cat");
  EXPECT_GT(quick.size(), 65536U);
  EXPECT_EQ(
      page("while IFS= read -r line; do printf '%s' \"$line\"; sleep 0.02; echo; done < " + log,
           "(sleep 1; cat)"),
      quick);
}

TEST(World, a_ledger_of_eight_programs_at_once_holds_every_roll) {
  const TestFolder folder;
  ASSERT_EQ(run_program({"read", kRoll, "--record", folder / "records"}).status, 0);
  const std::string ledger = folder / "ledger.db";
  std::vector<std::unique_ptr<StartedProgram>> programs;
  const auto remember = [&](const std::string& name) {
    programs.push_back(std::make_unique<StartedProgram>(std::vector<std::string>{
        "review", "--from", folder / "records", "--log", kRoll + "/log.csv", "--quiet",
        "--remember", "--ledger", ledger, "--roll", name}));
  };
  for (int i = 0; i < 6; ++i) remember("roll " + std::to_string(i));
  // The same roll twice is one.
  remember("twin");
  remember("twin");
  for (const auto& program : programs) {
    const ProgramRun run = program->wait();
    EXPECT_EQ(run.status, 0) << run.err;
  }
  const auto rolls = ledger::Ledger(ledger, ledger::Ledger::Access::read).rolls();
  EXPECT_EQ(rolls.size(), 7U);
  for (const meter::RememberedRoll& roll : rolls) {
    EXPECT_EQ(roll.deviations.size(), rolls.front().deviations.size()) << roll.name;
  }
}

/// A locale with decimal commas, compiled into a folder of its own: that takes no rights.
class DecimalCommas : public testing::Test {
 protected:
  void SetUp() override {
    const std::string made = "localedef -c -i de_DE -f UTF-8 '" + locales() + "/de_DE.UTF-8' > '" +
                             std::string(folder_ / "localedef.log") + "' 2>&1";
    fs::create_directory(locales());
    if (std::system(made.c_str()) != 0) GTEST_SKIP() << "no localedef, or no source of de_DE";
  }
  std::string locales() const { return folder_ / "locales"; }
  TestFolder folder_;
};

TEST_F(DecimalCommas, change_nothing_that_is_written) {
  const std::vector<std::string> words = {
      "review", kRoll + "/roll03_03.tif", "--log", kRoll + "/log.csv", "--quiet", "--out"};
  const auto written = [&](const char* name, const std::vector<std::string>& under) {
    std::vector<std::string> all = words;
    all.push_back(folder_ / name);
    const ProgramRun run = run_program(all, under);
    EXPECT_EQ(run.status, 0) << run.err;
    return contents_of(folder_ / name);
  };
  EXPECT_EQ(written("plain", {}),
            written("commas", {"env", "LOCPATH=" + locales(), "LC_ALL=de_DE.UTF-8"}));
}

// A program that uses the library may have set its own locale, which reaches every thread.
TEST_F(DecimalCommas, of_a_program_around_the_library_change_nothing) {
  const auto answers = [&] {
    roll::ReviewOptions options;
    options.log = kRoll + "/log.csv";
    const roll::Analysis analysis = roll::review({kRoll + "/roll03_03.tif"}, options);
    std::ostringstream out;
    out.imbue(std::locale::classic());
    report::write_json(out, analysis);
    report::write_csv(out, analysis);
    return out.str();
  };
  const std::string plain = answers();
  ::setenv("LOCPATH", locales().c_str(), 1);
  ASSERT_NE(std::setlocale(LC_ALL, "de_DE.UTF-8"), nullptr);
  ASSERT_EQ(std::to_string(0.5), "0,500000") << "the locale is in force";
  const std::string commas = answers();
  std::setlocale(LC_ALL, "C");
  ::unsetenv("LOCPATH");
  EXPECT_EQ(commas, plain);
}

TEST(World, no_room_for_temporary_files_costs_nothing) {
  const TestFolder folder;
  const fs::path tmp = folder / "tmp";
  fs::create_directory(tmp);
  const bool mounted = mount("tmpfs", tmp.c_str(), "tmpfs", 0, "size=4096") == 0;
  if (mounted) std::ofstream(tmp / "full") << std::string(8192, 'x');
  // Where no small disk can be made, a folder that is none stands for it.
  const std::string where = mounted ? tmp.string() : "/dev/full";
  const ProgramRun run =
      run_program({"review", kRoll, "--log", kRoll + "/log.csv", "--quiet", "--remember",
                   "--ledger", folder / "ledger.db", "--out", folder / "out"},
                  {"env", "TMPDIR=" + where, "SQLITE_TMPDIR=" + where, "TMP=" + where});
  if (mounted) umount(tmp.c_str());
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(contents_of(folder / "out").size(), 4U);
}

TEST(World, a_home_that_may_not_be_written_keeps_no_roll_and_says_where) {
  if (geteuid() == 0 &&
      run_program({"--version"}, {"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"})
              .status != 0) {
    GTEST_SKIP() << "cannot give up the rights of root here";
  }
  const TestFolder folder;
  fs::permissions(folder.string(), fs::perms::all);
  fs::create_directory(folder / "home");
  fs::permissions(folder / "home", fs::perms::owner_read | fs::perms::owner_exec |
                                       fs::perms::others_read | fs::perms::others_exec);
  std::vector<std::string> under;
  if (geteuid() == 0) under = {"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"};
  const std::string home = folder / "home";
  under.insert(under.end(), {"env", "-u", "XDG_DATA_HOME", "-u", "XDG_CACHE_HOME", "HOME=" + home});
  const ProgramRun run = run_program({"review", kRoll, "--log", kRoll + "/log.csv", "--quiet",
                                      "--remember", "--out", folder / "out"},
                                     under);
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr(home));
  EXPECT_THAT(run.err, Not(HasSubstr("terminate")));
  const ProgramRun read = run_program({"review", kRoll, "--quiet", "--out", folder / "out"}, under);
  EXPECT_EQ(read.status, 0) << read.err;
  fs::permissions(folder / "home", fs::perms::owner_all);
}

}  // namespace
}  // namespace basefog

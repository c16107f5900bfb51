// SPDX-License-Identifier: GPL-3.0-or-later
// What is kept of scans from run to run changes no result.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <fstream>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using Contents = std::map<std::string, std::string>;

const std::string kRoll = BASEFOG_SAMPLES "/roll";

class Cache : public testing::Test {
 protected:
  ProgramRun run(std::vector<std::string> words) const {
    return run_program(words, {"env", "XDG_CACHE_HOME=" + std::string(folder_ / "cache"),
                               "XDG_CONFIG_HOME=" + std::string(folder_ / "config")});
  }

  /// Every file that a review of three scans writes.
  Contents review(const std::string& out, std::vector<std::string> more = {}) const {
    std::vector<std::string> words = {"review", kRoll + "/roll03_01.tif", kRoll + "/roll03_02.tif",
                                      kRoll + "/roll03_03.tif"};
    words.insert(words.end(), {"--log", kRoll + "/log.csv", "--quiet", "--out", folder_ / out});
    words.insert(words.end(), more.begin(), more.end());
    const ProgramRun result = run(words);
    EXPECT_LE(result.status, 1) << result.err;
    return contents_of(folder_ / out);
  }

  Contents kept() const { return contents_of(folder_ / "cache"); }

  TestFolder folder_;
};

TEST_F(Cache, gives_the_same_page_tables_and_json_to_the_byte) {
  const Contents anew = review("anew", {"--no-cache"});
  EXPECT_TRUE(kept().empty());
  const Contents first = review("first");
  const Contents entries = kept();
  EXPECT_EQ(entries.size(), 3U);
  const Contents second = review("second");
  EXPECT_EQ(first, anew) << "a file differs";
  EXPECT_EQ(second, anew) << "a file differs";
  EXPECT_EQ(kept(), entries);
}

TEST_F(Cache, of_another_response_is_not_used) {
  review("first");
  EXPECT_EQ(review("second", {"--response", "gamma=1.8"}),
            review("anew", {"--response", "gamma=1.8", "--no-cache"}));
  EXPECT_EQ(kept().size(), 6U);
}

TEST_F(Cache, that_is_damaged_is_read_anew_and_made_whole) {
  const Contents first = review("first");
  const Contents entries = kept();
  int which = 0;
  for (const auto& [name, content] : entries) {
    const fs::path file = folder_ / "cache" / name;
    if (which == 0) fs::resize_file(file, content.size() / 2);
    if (which == 1) std::ofstream(file, std::ios::trunc) << "something else";
    if (which == 2) {
      std::fstream(file, std::ios::in | std::ios::out | std::ios::binary)
          .seekp(static_cast<std::streamoff>(content.size() / 2))
          .write("damage", 6);
    }
    ++which;
  }
  EXPECT_EQ(review("second"), first);
  EXPECT_EQ(kept(), entries);
}

TEST_F(Cache, serves_read_and_records_and_cards_alike) {
  const std::string scan = kRoll + "/roll03_02.tif";
  const auto read = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {"read", scan});
    const ProgramRun result = run(more);
    EXPECT_EQ(result.status, 0) << result.err;
    return result.out;
  };
  const std::string text = read({"--no-cache"});
  const std::string json = read({"--no-cache", "--json", "-"});
  for (int round = 0; round < 2; ++round) {
    EXPECT_EQ(read({}), text);
    EXPECT_EQ(read({"--json", "-"}), json);
  }
  read({"--record", folder_ / "kept"});
  read({"--record", folder_ / "anew", "--no-cache"});
  EXPECT_EQ(contents_of(folder_ / "kept"), contents_of(folder_ / "anew"));
  EXPECT_EQ(kept().size(), 1U) << "one entry serves all";
}

TEST_F(Cache, is_off_where_settings_say_so) {
  fs::create_directories(folder_ / "config/basefog");
  std::ofstream(folder_ / "config/basefog/config.toml") << "cache = \"off\"\n";
  review("first");
  EXPECT_TRUE(kept().empty());
  EXPECT_THAT(run({"settings"}).out, HasSubstr("cache       off"));
  std::ofstream(folder_ / "config/basefog/config.toml") << "cache = \"maybe\"\n";
  EXPECT_THAT(run({"settings"}).err, HasSubstr("is neither on nor off"));
}

TEST_F(Cache, is_never_laid_among_the_scans) {
  folder_.copy_sample("roll03_03.tif");
  const ProgramRun result = run_program({"review", folder_.string(), "--quiet"},
                                        {"env", "XDG_CACHE_HOME=" + folder_.string()});
  EXPECT_EQ(result.status, 0) << result.err;
  EXPECT_FALSE(fs::exists(folder_ / "basefog"));
}

}  // namespace
}  // namespace basefog

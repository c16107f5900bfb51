// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/roll_desk.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "basefog/core/error.hpp"
#include "basefog/report/report.hpp"
#include "desk/wire.hpp"
#include "test_folder.hpp"

namespace basefog::desk {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

const fs::path kRoll = fs::path(BASEFOG_SAMPLES) / "roll";

std::string json_of(const roll::Analysis& analysis) {
  std::stringstream text;
  report::write_json(text, analysis);
  return text.str();
}

class Desk : public testing::Test {
 protected:
  Desk()
      : here_(test::test_folder() / testing::UnitTest::GetInstance()->current_test_info()->name()) {
    fs::create_directories(here_ / "scans");
  }
  void scan(const std::string& name) const { fs::copy_file(kRoll / name, here_ / "scans" / name); }
  RollPlace place(std::optional<fs::path> log = {}) const {
    return {.scans = here_ / "scans",
            .folder = here_ / "desk",
            .log = std::move(log),
            .settings = {},
            .options = [](const fs::path&) { return roll::ReviewOptions(); }};
  }
  /// The view once so many scans were read and all is reviewed.
  static DeskView settled(RollDesk& desk, std::size_t scans) {
    const auto until = Clock::now() + 300s;
    DeskView view;
    do {
      view = desk.view(view.version, 1s);
      const auto read = std::ranges::count_if(
          view.scans, [](const DeskScan& one) { return one.record != nullptr; });
      if (view.up_to_date && static_cast<std::size_t>(read) == scans) return view;
    } while (Clock::now() < until);
    ADD_FAILURE() << "nothing settled";
    return view;
  }
  fs::path here_;
};

TEST_F(Desk, gives_the_review_of_the_command_line_to_the_byte) {
  for (int i = 1; i <= 6; ++i) scan("roll03_0" + std::to_string(i) + ".tif");
  RollDesk desk(place(kRoll / "log.csv"));
  DeskView view = settled(desk, 6);
  ASSERT_TRUE(view.reviewed) << view.failure;
  // A picture is laid to another row, one is left out.
  ASSERT_TRUE(desk.change(
      view.state.number,
      [](const Sheet& now) {
        Sheet next = now;
        next.fixed = {{{"roll03_02.tif", 0}, 4}, {{"roll03_05.tif", 0}, std::nullopt}};
        return checked(next);
      },
      ""));
  view = settled(desk, 6);
  ASSERT_TRUE(view.reviewed) << view.failure;
  EXPECT_TRUE(view.reviewed->analysis.matching->frames.at(1).fixed);
  roll::ReviewOptions options;
  options.log = here_ / "desk" / "log.csv";
  options.match = here_ / "desk" / "match.csv";
  EXPECT_EQ(json_of(view.reviewed->analysis), json_of(roll::review({here_ / "scans"}, options)));
}

TEST_F(Desk, reads_each_scan_once_and_soon) {
  RollDesk desk(place());
  EXPECT_TRUE(desk.view(0, 0s).scans.empty());
  scan("roll03_01.tif");
  const auto came = Clock::now();
  DeskView view = desk.view(0, 0s);
  while (view.scans.empty() || !view.scans[0].reading) {
    if (!view.scans.empty() && view.scans[0].record) break;
    ASSERT_LT(Clock::now() - came, 60s);
    view = desk.view(view.version, 1s);
  }
  // Two seconds on a machine that does nothing else.
  EXPECT_LT(Clock::now() - came, 10s) << "from its last byte until it is read";
  view = settled(desk, 1);
  const auto record = view.scans.at(0).record;
  scan("roll03_02.tif");
  view = settled(desk, 2);
  EXPECT_EQ(view.scans.at(0).record, record) << "the first was read again";
}

TEST_F(Desk, reads_a_scan_that_was_cut_short_again_when_it_is_whole) {
  std::ifstream whole(kRoll / "roll03_01.tif", std::ios::binary);
  std::stringstream bytes;
  bytes << whole.rdbuf();
  const std::string text = bytes.str();
  std::ofstream file(here_ / "scans" / "a.tif", std::ios::binary);
  file << text.substr(0, text.size() / 2) << std::flush;
  RollDesk desk(place());
  std::this_thread::sleep_for(2s);
  for (const DeskScan& one : desk.view(0, 0s).scans) EXPECT_FALSE(one.record) << "read half a file";
  file << text.substr(text.size() / 2) << std::flush;
  file.close();
  const DeskView view = settled(desk, 1);
  EXPECT_FALSE(view.scans.at(0).record->failure);
}

TEST_F(Desk, two_windows_do_not_overwrite_each_other) {
  RollDesk desk(place());
  const int base = desk.view(0, 0s).state.number;
  const auto add = [](const char* text) {
    return [text](const Sheet& now) {
      Sheet next = now;
      next.rows.push_back({static_cast<int>(next.rows.size()) + 1, {text}});
      return checked(next);
    };
  };
  EXPECT_TRUE(desk.change(base, add("1"), ""));
  EXPECT_FALSE(desk.change(base, add("2"), ""));
  EXPECT_FALSE(desk.undo(base));
  const DeskView view = desk.view(0, 0s);
  ASSERT_EQ(view.state.sheet.rows.size(), 1U);
  EXPECT_EQ(view.state.sheet.rows[0].cells[0], "1");
  EXPECT_TRUE(desk.change(view.state.number, add("2"), ""));
}

TEST_F(Desk, is_one_in_its_folder) {
  RollDesk desk(place());
  EXPECT_THROW({ RollDesk other(place()); }, InputError);
}

TEST_F(Desk, says_names_and_notes_as_text) {
  fs::copy_file(kRoll / "roll03_01.tif", here_ / "scans" / "<script>alert(1)<_01.tif");
  RollDesk desk(place());
  DeskView view = settled(desk, 1);
  desk.change(
      view.state.number,
      [](const Sheet& now) {
        Sheet next = now;
        next.rows = {{1, {"1", "1/60", "8", "<img src=x onerror=alert(2)>", "", "", "<b>", "<i>"}}};
        return checked(next);
      },
      "");
  view = settled(desk, 1);
  ASSERT_TRUE(view.reviewed) << view.failure;
  const std::string& page = view.reviewed->page;
  const std::string parts = page.substr(page.find("\"parts\""));
  for (const char* tag : {"<script", "<img src=x", "<b>\\u", "<i>"}) {
    EXPECT_EQ(parts.find(tag), std::string::npos) << tag;
  }
}

}  // namespace
}  // namespace basefog::desk

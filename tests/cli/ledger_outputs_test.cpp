// SPDX-License-Identifier: GPL-3.0-or-later
// What comes of a ledger alone, and what is opened when it is written.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string kRoll = BASEFOG_SAMPLES "/roll";
const std::string kLog = kRoll + "/log.csv";

/// The sample roll's log with every row dated.
fs::path dated_log(const TestFolder& folder, const std::string& name, const std::string& date) {
  std::istringstream lines(content_of(kLog));
  std::string text = "camera: bench camera\n";
  bool head = true;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    const bool comment = line.empty() || line.front() == '#';
    text += comment ? line : line + (head ? ",date" : "," + date);
    if (!comment) head = false;
    text += '\n';
  }
  return folder.write(name, text);
}

ProgramRun remembered(const fs::path& log, const std::string& roll, const std::string& ledger) {
  return run_program(
      {"review", kRoll, "--log", log, "--quiet", "--remember", "--roll", roll, "--ledger", ledger});
}

TEST(LedgerCard, needs_no_scans) {
  const TestFolder folder;
  const std::string ledger = folder / "ledger.db";
  const fs::path log = dated_log(folder, "log.csv", "2026-01-05");
  ASSERT_EQ(remembered(log, "first", ledger).status, 0);
  const auto rolls =
      nlohmann::json::parse(run_program({"ledger", "--ledger", ledger, "--json", "-"}).out);
  const std::string camera = rolls.at("rolls").at(0).at("camera");
  const std::string film = rolls.at("rolls").at(0).at("film");

  const fs::path card = folder / "card.svg";
  const std::vector<std::string> words = {"card", "--remembered", camera, "--ledger",
                                          ledger, "--out",        card};
  EXPECT_EQ(run_program(words).status, 0);
  const std::string of_camera = content_of(card);
  // The card says what the review of that roll says.
  const ProgramRun review = run_program({"review", kRoll, "--log", log, "--json", "-"});
  const auto plan = nlohmann::json::parse(review.out).at("next_roll");
  EXPECT_THAT(of_camera, HasSubstr("Dial " + std::to_string(plan.at("ei").get<int>())));
  for (const auto& one : plan.at("add")) {
    EXPECT_THAT(of_camera, HasSubstr(one.at("shutter").get<std::string>()));
  }

  std::vector<std::string> on_film = words;
  on_film.insert(on_film.end(), {"--on", film});
  EXPECT_EQ(run_program(on_film).status, 0);
  EXPECT_EQ(content_of(card), of_camera) << "all its rolls are on that film";

  on_film.back() = "no such film";
  const ProgramRun other = run_program(on_film);
  EXPECT_EQ(other.status, 2);
  EXPECT_THAT(other.err, HasSubstr("has no roll of that camera on \"no such film\""));
  EXPECT_EQ(run_program({"card", kRoll, "--on", film, "--out", card}).status, 2);
  const ProgramRun unknown =
      run_program({"card", "--remembered", "no such camera", "--ledger", ledger, "--out", card});
  EXPECT_EQ(unknown.status, 2);
  EXPECT_THAT(unknown.err, HasSubstr("name one of"));
}

TEST(LedgerTable, has_its_columns_under_their_heads) {
  const TestFolder folder;
  const std::string ledger = folder / "ledger.db";
  const std::string long_name = "a roll whose name is longer than any column is wide, by far";
  ASSERT_EQ(remembered(dated_log(folder, "a.csv", "2026-01-05"), "first", ledger).status, 0);
  ASSERT_EQ(remembered(dated_log(folder, "b.csv", "2026-02-07"), long_name, ledger).status, 0);
  std::istringstream table(run_program({"ledger", "--ledger", ledger}).out);
  std::string head;
  std::getline(table, head);
  std::vector<std::string> rows;
  for (std::string line; std::getline(table, line);) rows.push_back(line);
  ASSERT_EQ(rows.size(), 2U);
  const std::size_t date = head.find("date");
  ASSERT_NE(date, std::string::npos);
  const char* dates[] = {"2026-01-05", "2026-02-07"};
  for (std::size_t i = 0; i < rows.size(); ++i) {
    // What is too long ends with an ellipsis, of three bytes in one column.
    const std::string row = std::regex_replace(rows[i], std::regex("\u2026"), "~");
    EXPECT_EQ(row.substr(date, 10), dates[i]) << row;
    EXPECT_EQ(row.size(), head.size()) << row;
    EXPECT_THAT(row, ::testing::ContainsRegex(" [0-9]+$")) << "the number of frames";
    EXPECT_EQ(row.find("bench camera"), head.find("camera")) << row;
  }
  EXPECT_THAT(rows[1], HasSubstr("a roll whose name"));
}

TEST(PreviousRoll, stands_beside_the_next_one) {
  const TestFolder folder;
  const std::string ledger = folder / "ledger.db";
  ASSERT_EQ(remembered(dated_log(folder, "a.csv", "2026-01-05"), "first", ledger).status, 0);
  const auto review = [&](const fs::path& log) {
    return run_program({"review", kRoll, "--log", log, "--ledger", ledger, "--color", "never"}).out;
  };
  const std::string later = review(dated_log(folder, "b.csv", "2026-02-07"));
  EXPECT_THAT(later, HasSubstr("Previous roll (first, 2026-01-05): -0."));
  EXPECT_THAT(review(dated_log(folder, "c.csv", "2025-12-24")), Not(HasSubstr("Previous roll")));
  // A ledger that cannot be read costs that line and no more.
  folder.write("ledger.db", "no database");
  const ProgramRun without = run_program({"review", kRoll, "--log", kLog, "--ledger", ledger});
  EXPECT_EQ(without.status, 0) << without.err;
  EXPECT_THAT(without.out, Not(HasSubstr("Previous roll")));
}

/// A program in the place of the desktop's opener, that writes down what it was given.
std::vector<std::string> with_opener(const TestFolder& folder, int status) {
  const fs::path bin = folder / "bin";
  fs::create_directories(bin);
  const fs::path opener = folder.write(
      "bin/xdg-open", "#!/bin/sh\nprintf '%s' \"$1\" > '" + (folder / "opened").string() +
                          "'\nexit " + std::to_string(status) + "\n");
  fs::permissions(opener, fs::perms::owner_all);
  const char* path = std::getenv("PATH");
  return {"env", "PATH=" + bin.string() + ":" + (path != nullptr ? path : "/usr/bin:/bin")};
}

TEST(Open, hands_the_written_report_to_the_desktop) {
  const TestFolder folder;
  const fs::path out = folder / "out";
  const std::string scan = kRoll + "/roll03_03.tif";
  const auto under = with_opener(folder, 0);
  const ProgramRun run = run_program({"review", scan, "--out", out, "--open", "--quiet"}, under);
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(content_of(folder / "opened"), (out / "report.html").string());
  EXPECT_EQ(run.err, "");
  const fs::path page = folder / "a page.html";
  EXPECT_EQ(run_program({"review", scan, "--html", page, "--open", "--quiet"}, under).status, 0);
  EXPECT_EQ(content_of(folder / "opened"), page.string());

  const ProgramRun failed =
      run_program({"review", scan, "--out", out, "--open", "--quiet"}, with_opener(folder, 3));
  EXPECT_EQ(failed.status, 0) << "the review itself is done";
  EXPECT_THAT(failed.err, HasSubstr("open it by hand"));
  const ProgramRun nothing = run_program({"review", scan, "--open", "--quiet"}, under);
  EXPECT_EQ(nothing.status, 2);
  EXPECT_THAT(nothing.err, HasSubstr("needs a report to open"));
}

}  // namespace
}  // namespace basefog

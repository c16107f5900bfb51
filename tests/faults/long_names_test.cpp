// SPDX-License-Identifier: GPL-3.0-or-later
// Names as long as a file system takes them, and labels of logs beyond that: nothing breaks, and
// none is cut so that two become one.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

/// NAME_MAX of Linux's file systems.
constexpr std::size_t kMostBytes = 255;

/// 251 bytes, told apart in the middle only; of letters of two bytes where `wide`.
std::string long_name(const std::string& middle, bool wide) {
  std::string name;
  while (name.size() < 120) name += wide ? "é" : "a";
  name += middle;
  while (name.size() + 2 <= 251) name += wide ? "ö" : "bb";
  return name;
}

/// The first words of each line.
std::set<std::string> first_words(const std::string& table, const std::string& like) {
  std::istringstream lines(table);
  std::set<std::string> words;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with(like)) words.insert(line.substr(0, line.find(' ')));
  }
  return words;
}

class LongNames : public testing::Test {
 protected:
  LongNames() {
    fs::create_directory(in());
    std::string log = "camera: " + std::string(300, 'C') + "\n\nframe,shutter,scene,lens,notes\n";
    for (std::size_t k = 0; k < names_.size(); ++k) {
      const std::string sample = "roll03_0" + std::to_string(k + 1) + ".tif";
      fs::copy_file(fs::path(BASEFOG_SAMPLES) / "roll" / sample, in() / (names_[k] + ".tif"));
      log += names_[k] + ",1/60," + long_name("scene", false) + std::string(300, 's') + "," +
             long_name("l" + std::to_string(k), false) + "," + std::string(3000, 'n') + "\n";
    }
    log_ = folder_.write("log.csv", log);
  }

  fs::path in() const { return folder_ / "in"; }
  std::size_t files_in(const std::string& folder) const {
    return contents_of(folder_ / folder).size();
  }

  const std::vector<std::string> names_ = {long_name("left", false), long_name("right", false),
                                           long_name("left", true), long_name("right", true)};
  TestFolder folder_;
  std::string log_;
};

TEST_F(LongNames, are_whole_in_what_is_read_by_machines_and_apart_in_tables) {
  const ProgramRun run =
      run_program({"review", in(), "--log", log_, "--out", folder_ / "out", "--sidecar"});
  ASSERT_EQ(run.status, 0) << run.err;
  for (const char* file : {"review.json", "frames.csv", "report.html", "match.csv"}) {
    const std::string content = content_of(folder_ / "out" / file);
    for (const std::string& name : names_) EXPECT_THAT(content, HasSubstr(name)) << file;
  }
  EXPECT_EQ(first_words(run.out, "aaaa").size(), 2U) << run.out;
  EXPECT_EQ(first_words(run.out, "éé").size(), 2U) << run.out;
  EXPECT_EQ(files_in("out/sidecars"), names_.size());
  // The page's own table shows short names, each a link.
  const std::string page = content_of(folder_ / "out" / "report.html");
  std::set<std::string> links;
  for (std::size_t k = 1; k <= names_.size(); ++k) {
    const std::string head = "<th scope=\"row\"><a href=\"#frame-" + std::to_string(k) + "\">";
    const std::size_t at = page.find(head);
    ASSERT_NE(at, std::string::npos);
    links.insert(page.substr(at + head.size(), page.find('<', at + head.size()) - at));
  }
  EXPECT_EQ(links.size(), names_.size());
}

TEST_F(LongNames, give_each_scan_a_file_of_its_own) {
  ASSERT_EQ(run_program({"proof", in(), "--log", log_, "--out", folder_ / "proofs"}).status, 0);
  EXPECT_EQ(files_in("proofs"), 2 * names_.size() + 2);  // two styles, each with its sheet
  for (const auto& [option, folder] :
       {std::pair("--record", "records"), std::pair("--show-layout", "layouts")}) {
    const ProgramRun run = run_program({"read", in(), option, folder_ / folder});
    EXPECT_EQ(run.status, 0) << run.err;
    EXPECT_EQ(files_in(folder), names_.size());
  }
  for (const char* folder : {"proofs", "records", "layouts"}) {
    for (const auto& [name, content] : contents_of(folder_ / folder)) {
      EXPECT_LE(name.size(), kMostBytes);
      EXPECT_NE(name.find('_'), std::string::npos);
    }
  }
  const ProgramRun merged =
      run_program({"review", "--from", folder_ / "records", "--csv", "-", "--quiet"});
  EXPECT_EQ(merged.status, 0) << merged.err;
  for (const std::string& name : names_) EXPECT_THAT(merged.out, HasSubstr(name));
}

TEST_F(LongNames, of_rows_stay_apart_where_a_log_is_shown) {
  const ProgramRun run = run_program({"log", log_});
  ASSERT_EQ(run.status, 0) << run.err;
  std::istringstream lines(run.out);
  std::set<std::string> labels;
  for (std::string line; std::getline(lines, line);) {
    std::istringstream cells(line);
    std::string number, label;
    if (cells >> number >> label && (label.starts_with("aa") || label.starts_with("éé"))) {
      labels.insert(label);
    }
  }
  EXPECT_EQ(labels.size(), names_.size()) << run.out;
}

TEST_F(LongNames, break_no_card_and_no_sheet) {
  for (const std::string ending : {"svg", "pdf"}) {
    const ProgramRun card =
        run_program({"card", in(), "--log", log_, "--out", folder_ / ("card." + ending)});
    EXPECT_EQ(card.status, 0) << card.err;
    const ProgramRun sheet = run_program(
        {"logsheet", folder_ / ("sheet." + ending), "--roll", names_[0], "--film", names_[3]});
    EXPECT_EQ(sheet.status, 0) << sheet.err;
  }
  EXPECT_NE(content_of(folder_ / "card.svg").find("CCCC\u2026CCCC"), std::string::npos);
  const std::string sheet = content_of(folder_ / "sheet.svg");
  EXPECT_NE(sheet.find(names_[0]), std::string::npos) << "set smaller";
  EXPECT_NE(sheet.find("éé\u2026öö"), std::string::npos) << "cut in the open";
}

}  // namespace
}  // namespace basefog

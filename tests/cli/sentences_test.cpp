// SPDX-License-Identifier: GPL-3.0-or-later
// All sentences of one review, of its page, its card and the page of many rolls, read together:
// none twice in one output, none against another.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "cli/program_run.hpp"
#include "validation/bracket_study.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

/// A review as a person reads it, in the terminal with all that it can say, and as programs do.
struct Reviewed {
  std::string text;
  Json json;
  std::string page;
};

Reviewed review_of(const fs::path& roll, const TestFolder& folder) {
  const fs::path file = folder / "review.json";
  const fs::path page = folder / "page.html";
  const ProgramRun run = run_program({"review", roll, "--log", roll / "log.csv", "--json", file,
                                      "--html", page, "--verbose", "--color", "never"});
  EXPECT_LE(run.status, 1) << run.err;
  return {run.out, Json::parse(content_of(file)), content_of(page)};
}

/// What a page says to who reads it without a script: its text, blocks apart, each frame's own part
/// left out, for there what concerns a frame stands with it.
std::string text_of_page(std::string html) {
  const auto without = [&html](const char* pattern, const char* instead) {
    html = std::regex_replace(html, std::regex(pattern), instead);
  };
  const auto cut = [&html](const std::string& from, const std::string& to) {
    for (std::size_t at = html.find(from); at != std::string::npos; at = html.find(from, at)) {
      const std::size_t end = html.find(to, at);
      html.erase(at, end == std::string::npos ? end : end + to.size() - at);
    }
  };
  cut("src=\"data:", "\"");
  cut("<style>", "</style>");
  cut("<script>", "</script>");
  cut("<title>", "</title>");
  cut("<svg", "</svg>");
  cut("<div class=\"frames-all\">", "</div></section>\n</div></section>");
  without("</?(b|strong|small|a|em)\\b[^>]*>", "");
  without("<[^>]*>", "\n");
  return html;
}

/// Sentences of a page: whole lines and those within them, of four words and more.
void expect_each_sentence_once(const std::string& html, const std::string& name) {
  std::set<std::string> told;
  const std::regex sentence("[A-Z][^.]{24,}?[a-z0-9)%]\\.(?= |$)");
  std::istringstream lines(text_of_page(html));
  for (std::string line; std::getline(lines, line);) {
    for (std::sregex_iterator at(line.begin(), line.end(), sentence), end; at != end; ++at) {
      EXPECT_TRUE(told.insert(at->str()).second) << name << ": twice: " << at->str();
    }
  }
  EXPECT_GT(told.size(), 2U) << name << ": the page was read";
}

/// From "The roll" on, lines joined: what is above is a line a frame.
std::string prose_of(const std::string& text) {
  std::string prose = text.substr(std::min(text.find("\nThe roll\n"), text.size()));
  return std::regex_replace(prose, std::regex("\\s+"), " ");
}

/// Sentences of four words and more; shorter ones are names.
std::vector<std::string> sentences_of(const std::string& prose) {
  std::vector<std::string> sentences;
  const std::regex sentence("[A-Z][^.\\[]{24,}?[a-z0-9)]\\.(?= |$)");
  for (std::sregex_iterator at(prose.begin(), prose.end(), sentence), end; at != end; ++at) {
    sentences.push_back(at->str());
  }
  return sentences;
}

void expect_no_contradiction(const Reviewed& reviewed, const std::string& name) {
  expect_each_sentence_once(reviewed.page, name + ", page");
  const std::string prose = prose_of(reviewed.text);
  std::set<std::string> told;
  for (const std::string& sentence : sentences_of(prose)) {
    EXPECT_TRUE(told.insert(sentence).second) << name << ": twice: " << sentence;
  }
  EXPECT_EQ(prose.find("Nothing to change"), std::string::npos) << name;
  // The page tells the plan as the terminal does.
  const std::string page = text_of_page(reviewed.page);
  std::smatch told_dial;
  if (std::regex_search(prose, told_dial, std::regex("(Set|Leave|Keep) the dial (to|at) [0-9]+"))) {
    EXPECT_NE(page.find(told_dial.str()), std::string::npos) << name;
  }

  // One dial, and it is the plan's.
  const std::regex dial("(Set|Leave|Keep) the dial (?:to|at) ([0-9]+)");
  std::vector<std::string> dials;
  for (std::sregex_iterator at(prose.begin(), prose.end(), dial), end; at != end; ++at) {
    dials.push_back((*at)[2]);
  }
  ASSERT_TRUE(reviewed.json.contains("next_roll")) << name;
  const Json& plan = reviewed.json["next_roll"];
  ASSERT_EQ(dials.size(), plan["state"] == "held_up" ? 0U : 1U) << name << prose;
  if (!dials.empty()) {
    EXPECT_EQ(std::stod(dials[0]), plan["ei"].get<double>()) << name;
  }

  // What is to be added at a speed or for a scene is said once, as the plan has it.
  std::map<std::string, int> lines;
  const std::regex line(
      "(?:At|For|With the lens) ([^.]+?) give [0-9/ ]+ stops? (more|less) than the meter then "
      "says\\.");
  for (std::sregex_iterator at(prose.begin(), prose.end(), line), end; at != end; ++at) {
    ++lines[(*at)[1]];
  }
  EXPECT_EQ(lines.size(), plan["add"].size()) << name;
  for (const auto& [what, times] : lines) EXPECT_EQ(times, 1) << name << ": " << what;
  if (plan["state"] == "not_known" || plan["state"] == "as_asked") {
    EXPECT_EQ(prose.find("does better than before"), std::string::npos) << name;
    EXPECT_EQ(prose.find("The plan holds"), std::string::npos) << name;
  }
  if (plan["state"] == "change") {
    EXPECT_EQ(prose.find("no allowance"), std::string::npos) << name;
    EXPECT_GE(plan["chance_better"].get<double>(), 0.666) << name;
    EXPECT_LE(plan["expected_error"]["after"].get<double>(),
              plan["expected_error"]["before"].get<double>())
        << name;
  }
}

TEST(Sentences, of_the_sample_roll_agree) {
  const TestFolder folder;
  expect_no_contradiction(review_of(fs::path(BASEFOG_SAMPLES) / "roll", folder), "sample roll");
}

TEST(Sentences, of_simulated_rolls_agree) {
  struct Drawn {
    const char* name;
    validation::BracketStudy study;
  };
  const Drawn rolls[] = {{"colour", {.rolls = 1, .seed = 31, .colour = true}},
                         {"plain", {.rolls = 1, .seed = 51}},
                         {"plain, other", {.rolls = 1, .seed = 52}}};
  for (const Drawn& drawn : rolls) {
    const TestFolder folder;
    validation::run(drawn.study, folder.string());
    expect_no_contradiction(review_of(folder / "roll", folder), drawn.name);
  }
}

// A card has no room to say anything twice, and says what the review's plan says.
TEST(Sentences, of_a_card_are_the_plan) {
  const TestFolder folder;
  const fs::path roll = fs::path(BASEFOG_SAMPLES) / "roll";
  const fs::path card = folder / "card.svg";
  ASSERT_EQ(run_program({"card", roll, "--log", roll / "log.csv", "--out", card, "--quiet"}).status,
            0);
  const std::string svg = content_of(card);
  const std::size_t from = svg.find("<desc>");
  ASSERT_NE(from, std::string::npos);
  std::istringstream lines(svg.substr(from + 7, svg.find("</desc>") - from - 7));
  std::multiset<std::string> told;
  for (std::string line; std::getline(lines, line);) told.insert(line);
  const Json plan = review_of(roll, folder).json["next_roll"];
  EXPECT_EQ(told.count("Dial " + std::to_string(plan["ei"].get<int>())), 1U) << svg.substr(from);
  for (const Json& one : plan["add"]) {
    EXPECT_EQ(told.count(one["shutter"].get<std::string>()), 1U);
  }
  for (const std::string& line : told) {
    if (line.size() <= 12) continue;
    EXPECT_EQ(told.count(line), 1U) << "twice: " << line;
  }
}

// Two rolls of one shelf: what holds for both stands under each, and nothing twice under one.
TEST(Sentences, of_the_page_of_many_rolls_are_told_once_a_roll) {
  const TestFolder folder;
  for (const char* name : {"ada", "ben"}) {
    fs::create_directories(folder / "shelf" / name);
    fs::copy_file(fs::path(BASEFOG_SAMPLES) / "roll/log.csv", folder / "shelf" / name / "log.csv");
  }
  for (const auto& scan : fs::directory_iterator(fs::path(BASEFOG_SAMPLES) / "roll")) {
    if (scan.path().extension() != ".tif") continue;
    fs::copy_file(scan.path(), folder / "shelf/ada" / scan.path().filename());
    if (scan.path().stem().string() < "roll03_08") {
      fs::copy_file(scan.path(), folder / "shelf/ben" / scan.path().filename());
    }
  }
  const ProgramRun run = run_program({"review", folder / "shelf", "--out", folder / "out"});
  EXPECT_LE(run.status, 1) << run.err;
  const std::string index = content_of(folder / "out/index.html");
  expect_each_sentence_once(std::regex_replace(index, std::regex("<tbody[^]*?</tbody>"), ""),
                            "index, around its rolls");
  // What the person of each folder should do stands under the name.
  EXPECT_NE(index.find("Set the dial to 320 instead of 400."), std::string::npos);
  EXPECT_NE(content_of(folder / "out/ada/report.html").find("href=\"../index.html\""),
            std::string::npos);
}

// Codes read as light that they cannot stand for: that comes first, and nothing else is said.
TEST(Sentences, of_a_question_that_holds_everything_up_stand_alone) {
  const TestFolder folder;
  validation::run({.rolls = 1, .seed = 51}, folder.string());
  const ProgramRun run = run_program({"review", folder / "roll", "--log", folder / "roll/log.csv",
                                      "--response", "gamma=4", "--color", "never"});
  const std::size_t next = run.out.find("Next time\n");
  ASSERT_NE(next, std::string::npos) << run.out;
  const std::string said = run.out.substr(next);
  EXPECT_THAT(said, ::testing::HasSubstr("First say"));
  EXPECT_THAT(said, ::testing::Not(::testing::HasSubstr("the dial")));
}

}  // namespace
}  // namespace basefog

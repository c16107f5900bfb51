// SPDX-License-Identifier: GPL-3.0-or-later
// All sentences of one review, read together: none twice, none against another.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
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
};

Reviewed review_of(const fs::path& roll, const TestFolder& folder) {
  const fs::path file = folder / "review.json";
  const ProgramRun run = run_program(
      {"review", roll, "--log", roll / "log.csv", "--json", file, "--verbose", "--color", "never"});
  EXPECT_LE(run.status, 1) << run.err;
  return {run.out, Json::parse(content_of(file))};
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
  const std::string prose = prose_of(reviewed.text);
  std::set<std::string> told;
  for (const std::string& sentence : sentences_of(prose)) {
    EXPECT_TRUE(told.insert(sentence).second) << name << ": twice: " << sentence;
  }
  EXPECT_EQ(prose.find("Nothing to change"), std::string::npos) << name;

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
  const std::regex line("(?:At|For|With the lens) ([^.]+?) (add|take off) [0-9/ ]+\\.");
  for (std::sregex_iterator at(prose.begin(), prose.end(), line), end; at != end; ++at) {
    ++lines[(*at)[1]];
  }
  EXPECT_EQ(lines.size(), plan["add"].size()) << name;
  for (const auto& [what, times] : lines) EXPECT_EQ(times, 1) << name << ": " << what;
  if (plan["state"] == "not_known" || plan["state"] == "as_asked") {
    EXPECT_EQ(prose.find("better than before"), std::string::npos) << name;
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

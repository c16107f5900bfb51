// SPDX-License-Identifier: GPL-3.0-or-later
// Ledger, bias and equivalents as their users meet them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::AllOf;
using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string kRoll = BASEFOG_SAMPLES "/roll";
const std::string kLog = kRoll + "/log.csv";

TEST(Bias, a_roll_is_remembered_only_when_asked_and_once) {
  const TestFolder folder;
  const std::string ledger = folder / "kept" / "ledger.db";
  const std::vector<std::string> review = {"review",  kRoll,      "--log", kLog,
                                           "--quiet", "--ledger", ledger};
  EXPECT_EQ(run_program(review).status, 0);
  EXPECT_FALSE(std::filesystem::exists(ledger));
  std::vector<std::string> remember = review;
  remember.emplace_back("--remember");
  EXPECT_EQ(run_program(remember).status, 0);
  EXPECT_EQ(run_program(remember).status, 0);
  const ProgramRun list = run_program({"ledger", "--ledger", ledger});
  EXPECT_EQ(list.status, 0) << list.err;
  EXPECT_EQ(std::count(list.out.begin(), list.out.end(), '\n'), 2) << list.out;

  const ProgramRun bias = run_program({"bias", "--ledger", ledger});
  EXPECT_EQ(bias.status, 0) << bias.err;
  EXPECT_THAT(bias.out, AllOf(HasSubstr("Bias now: -0."), HasSubstr("1 roll"),
                              ContainsRegex("dial to 320 instead of 400[^.]*"),
                              ContainsRegex("1/15\\s+give 2/3 stop less")));
  const ProgramRun json = run_program({"bias", "--ledger", ledger, "--json", "-"});
  const auto parsed = nlohmann::json::parse(json.out);
  EXPECT_EQ(parsed.at("schema"), "basefog.bias/1");
  EXPECT_NEAR(parsed.at("cameras").at(0).at("meter").at("bias").at("stops"), -0.667, 0.25)
      << "the sample roll's truth";

  const std::string plot = folder / "bias.svg";
  EXPECT_EQ(run_program({"bias", "--ledger", ledger, "--plot", plot}).status, 0);
  EXPECT_THAT(content_of(plot), HasSubstr("</svg>"));
  EXPECT_EQ(run_program({"bias", "--ledger", ledger, "--plot", ledger}).status, 2);

  EXPECT_EQ(run_program({"ledger", "--ledger", ledger, "--remove", "nothing"}).status, 2);
  EXPECT_EQ(run_program({"ledger", "--ledger", ledger, "--remove", "roll"}).status, 0);
  const ProgramRun none = run_program({"bias", "--ledger", ledger});
  EXPECT_EQ(none.status, 2);
  EXPECT_THAT(none.err, HasSubstr("--remember"));
}

TEST(Bias, says_how_to_begin_where_there_is_no_ledger) {
  const TestFolder folder;
  const ProgramRun run = run_program({"bias", "--ledger", folder / "none.db"});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("--remember"));
  EXPECT_FALSE(std::filesystem::exists(folder / "none.db"));
}

TEST(Bias, a_ledger_that_is_an_input_is_refused) {
  const TestFolder folder;
  const std::string log = folder.write("log.csv", content_of(kLog));
  const ProgramRun run = run_program({"review", kRoll + "/roll03_03.tif", kRoll + "/roll03_04.tif",
                                      kRoll + "/roll03_05.tif", kRoll + "/roll03_06.tif", "--log",
                                      log, "--remember", "--ledger", log});
  EXPECT_EQ(run.status, 2);
  EXPECT_EQ(content_of(log), content_of(kLog));
}

TEST(Equivalents, of_the_camera_s_marks) {
  const TestFolder folder;
  const std::string camera = folder.write("camera.toml", R"(
shutter_longest = "1/30"
shutter_shortest = "1/500"
[[lens]]
name = "normal"
focal_length = 50
widest = 2.8
narrowest = 11
)");
  const ProgramRun run =
      run_program({"equivalents", "1/125", "f/8", "--stops", "+1", "--camera", camera});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out,
              AllOf(HasSubstr("1/60     f/8"), HasSubstr("1/125    f/5.6"),
                    HasSubstr("1/500    f/2.8"), Not(HasSubstr("f/16")), Not(HasSubstr("1/1000"))));
  EXPECT_EQ(run_program({"equivalents", "f/8 1/125", "--camera", camera}).status, 0);
}

TEST(Equivalents, says_what_it_does_not_understand) {
  const ProgramRun nonsense = run_program({"equivalents", "eight", "f/8"});
  EXPECT_EQ(nonsense.status, 2);
  EXPECT_THAT(nonsense.err, HasSubstr("1/125 f/8"));
  EXPECT_EQ(run_program({"equivalents", "1/125", "f/8", "--stops", "lots"}).status, 2);
  EXPECT_EQ(run_program({"equivalents", "1/1000", "f/22", "--stops", "-5"}).status, 1);
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
// What one roll says of its film, and the next one takes from it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string kRoll = BASEFOG_SAMPLES "/roll";

class FilmMemory : public ::testing::Test {
 protected:
  /// A review of the sample roll under a name, on a film.
  ProgramRun review(const std::string& roll, const std::string& film,
                    const std::vector<std::string>& more = {}) const {
    std::vector<std::string> words = {"review", kRoll,      "--log", kRoll + "/log.csv", "--roll",
                                      roll,     "--ledger", ledger,  "--quiet"};
    if (!film.empty()) words.insert(words.end(), {"--film-name", film});
    words.insert(words.end(), more.begin(), more.end());
    return run_program(words);
  }
  nlohmann::json film_of(const std::string& roll, const std::string& film,
                         const std::vector<std::string>& more = {}) const {
    std::vector<std::string> words = {"--json", "-"};
    words.insert(words.end(), more.begin(), more.end());
    const ProgramRun run = review(roll, film, words);
    EXPECT_EQ(run.status, 0) << run.err;
    return nlohmann::json::parse(run.out).at("film");
  }

  TestFolder folder;
  std::string ledger = folder / "ledger.db";
};

TEST_F(FilmMemory, the_next_roll_of_a_film_knows_what_the_first_one_said) {
  EXPECT_EQ(film_of("first", "Harbour Pan 400").at("contrast").at("source"), "generic");
  EXPECT_FALSE(std::filesystem::exists(ledger)) << "only --remember writes";
  ASSERT_EQ(review("first", "Harbour Pan 400", {"--remember"}).status, 0);

  const nlohmann::json second = film_of("second", "harbour pan iso 400");
  EXPECT_EQ(second.at("contrast").at("source"), "remembered rolls");
  EXPECT_EQ(second.at("memory").at("rolls"), nlohmann::json({"first"}));
  EXPECT_LT(second.at("memory").at("contrast_sigma"), 0.1);
  EXPECT_THAT(second.at("notes").at(0), AllOf(HasSubstr("from 1 roll"), HasSubstr("Harbour Pan")));

  // Not of itself, not under another name, not unnamed, not where it is not wanted.
  EXPECT_FALSE(film_of("first", "Harbour Pan 400").contains("memory"));
  EXPECT_FALSE(film_of("second", "Hill Pan 400").contains("memory"));
  EXPECT_FALSE(film_of("second", "").contains("memory"));
  EXPECT_FALSE(film_of("second", "Harbour Pan 400", {"--no-memory"}).contains("memory"));
  const nlohmann::json otherwise =
      film_of("second", "Harbour Pan 400", {"--developed", "11 min at 20 C"});
  EXPECT_EQ(otherwise.at("memory").at("other_developments"), nlohmann::json({"first"}));
}

TEST_F(FilmMemory, a_measured_curve_is_remembered_with_its_film) {
  const std::string profile = folder / "test.toml";
  std::ofstream(profile) << "name = \"test of May\"\nspeed = 320\nspeed_measured = true\n"
                            "contrast_source = \"film test\"\ncontrast_uncertainty = 0.02\n"
                            "[[layer]]\npoints = [[-2, 0.01], [0, 0.10], [4.3185, 0.95], [8, 1.9], "
                            "[10, 2.2], [12, 2.35]]\n";
  ASSERT_EQ(review("first", "Harbour Pan 400", {"--film", profile, "--remember"}).status, 0);
  const nlohmann::json second = film_of("second", "Harbour Pan 400");
  EXPECT_EQ(second.at("name"), "test of May");
  EXPECT_EQ(second.at("contrast").at("source"), "remembered rolls");
  EXPECT_EQ(film_of("second", "Hill Pan 400").at("contrast").at("source"), "generic");
  EXPECT_EQ(film_of("second", "Harbour Pan 400", {"--no-memory"}).at("contrast").at("source"),
            "generic");
  const ProgramRun shown = run_program({"film", "Harbour Pan 400", "--ledger", ledger});
  EXPECT_EQ(shown.status, 0) << shown.err;
  EXPECT_THAT(shown.out, AllOf(HasSubstr("test of May"), HasSubstr("first")));
}

TEST_F(FilmMemory, a_remembered_film_is_shown_and_written_as_a_profile) {
  ASSERT_EQ(review("first", "Harbour Pan 400", {"--remember"}).status, 0);
  const std::string profile = folder / "harbour.toml";
  const ProgramRun shown = run_program(
      {"film", "harbour pan 400", "--ledger", ledger, "--out", profile, "--film-speed", "400"});
  EXPECT_EQ(shown.status, 0) << shown.err;
  EXPECT_THAT(shown.out, AllOf(HasSubstr("first"), HasSubstr("contrast"), HasSubstr("shoulder"),
                               HasSubstr("remembered rolls")));
  const ProgramRun again = run_program({"film", profile});
  EXPECT_EQ(again.status, 0) << again.err;
  EXPECT_THAT(again.out, AllOf(HasSubstr("ISO 400"), HasSubstr("remembered rolls")));

  const ProgramRun unknown = run_program({"film", "Hill Pan 400", "--ledger", ledger});
  EXPECT_EQ(unknown.status, 2);
  EXPECT_THAT(unknown.err, HasSubstr("Hill Pan 400"));
}

TEST_F(FilmMemory, a_ledger_that_cannot_be_read_costs_the_memory_alone) {
  ASSERT_EQ(review("first", "Harbour Pan 400", {"--remember"}).status, 0);
  const std::string data = folder / "data";
  std::filesystem::create_directories(data + "/basefog");
  std::ofstream(data + "/basefog/ledger.db") << std::string(4096, 'x');
  const std::vector<std::string> words = {"review",           kRoll,         "--log",
                                          kRoll + "/log.csv", "--film-name", "Harbour Pan 400",
                                          "--quiet",          "--json",      "-"};
  const ProgramRun run = run_program(words, {"env", "XDG_DATA_HOME=" + data});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.err, HasSubstr("nothing is remembered of the film"));
  EXPECT_FALSE(nlohmann::json::parse(run.out).at("film").contains("memory"));
  std::vector<std::string> named = words;
  named.insert(named.end(), {"--ledger", data + "/basefog/ledger.db"});
  EXPECT_EQ(run_program(named).status, 0);
  named.emplace_back("--remember");
  EXPECT_EQ(run_program(named).status, 2) << "but nothing is written over it";
}

}  // namespace
}  // namespace basefog

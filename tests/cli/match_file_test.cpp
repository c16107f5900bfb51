// SPDX-License-Identifier: GPL-3.0-or-later
// Frames matched to rows as the program's users meet it: what is doubtful, the match file that is
// written, and the one that comes back corrected.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::AllOf;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Pair;
using ::testing::UnorderedElementsAre;

/// Four scans of the sample roll and their rows.
class MatchFile : public ::testing::Test {
 protected:
  MatchFile() {
    std::filesystem::create_directory(folder_ / "scans");
    for (const char* name : {"roll03_03.tif", "roll03_04.tif", "roll03_05.tif", "roll03_07.tif"}) {
      add_scan(name, name);
    }
    log_ = folder_.write("log.csv",
                         "frame,shutter,aperture,iso,mode,compensation,scene\n"
                         "3,1/500,5.6,400,A,,shade\n"
                         "4,1/125,8,400,A,+2,backlit\n"
                         "5,1/60,8,400,A,+2,shade\n"
                         "7,1/15,4,400,M,,interior\n");
  }

  void add_scan(const std::string& sample, const std::string& name) {
    std::filesystem::copy_file(std::string(BASEFOG_SAMPLES "/roll/") + sample,
                               folder_ / "scans" / name);
  }

  ProgramRun review(const std::vector<std::string>& more) {
    std::vector<std::string> words = {"review", folder_ / "scans", "--log",  log_,
                                      "--out",  folder_ / "out",   "--quiet"};
    words.insert(words.end(), more.begin(), more.end());
    return run_program(words);
  }

  nlohmann::json result() const {
    return nlohmann::json::parse(content_of(folder_ / "out" / "review.json"));
  }

  /// Rows by scan; scans without a row are left out.
  std::map<std::string, std::string> rows() const {
    std::map<std::string, std::string> rows;
    const nlohmann::json review = result();
    for (const auto& frame : review.at("frames")) {
      const std::filesystem::path file = frame.at("file").get<std::string>();
      if (frame.contains("log_row")) rows[file.filename()] = frame.at("log_row");
    }
    return rows;
  }

  std::string written() const { return content_of(folder_ / "out" / "match.csv"); }

  TestFolder folder_;
  std::string log_;
};

TEST_F(MatchFile, is_written_edited_and_read_back) {
  ASSERT_EQ(review({}).status, 0);
  EXPECT_THAT(rows(), UnorderedElementsAre(Pair("roll03_03.tif", "3"), Pair("roll03_04.tif", "4"),
                                           Pair("roll03_05.tif", "5"), Pair("roll03_07.tif", "7")));
  std::string text = written();
  // As a user would: two rows exchanged, one frame without a row.
  const auto put = [&](const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from << " in\n" << text;
    text.replace(at, from.size(), to);
  };
  put("roll03_03.tif,3,", "roll03_03.tif,4,yes");
  put("roll03_04.tif,4,", "roll03_04.tif,3,x");
  put("roll03_07.tif,7,", "roll03_07.tif,,yes");
  const std::string edited = folder_.write("edited.csv", text);
  const ProgramRun run = review({"--match", edited});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(rows(), UnorderedElementsAre(Pair("roll03_03.tif", "4"), Pair("roll03_04.tif", "3"),
                                           Pair("roll03_05.tif", "5")));
  EXPECT_THAT(result().at("matching").at("unmatched_rows"), ElementsAre("7"));
  EXPECT_THAT(written(), HasSubstr("roll03_03.tif,4,yes"));
  EXPECT_EQ(content_of(edited), text) << "the user's own file is left alone";
}

TEST_F(MatchFile, untouched_goes_back_without_a_guess_becoming_a_fact) {
  ASSERT_EQ(review({}).status, 0);
  // Its inputs are others: the match file is one of them.
  const auto without_inputs = [this] {
    nlohmann::json json = result();
    json.at("provenance").erase("inputs");
    return json;
  };
  const nlohmann::json first = without_inputs();
  const std::string untouched = folder_.write("untouched.csv", written());
  EXPECT_EQ(review({"--match", untouched}).status, 0);
  EXPECT_EQ(without_inputs(), first);
  EXPECT_EQ(written(), content_of(untouched));
}

TEST_F(MatchFile, a_change_that_is_not_marked_is_said_and_not_taken) {
  ASSERT_EQ(review({}).status, 0);
  std::string text = written();
  text.replace(text.find("roll03_03.tif,3,"), 16, "roll03_03.tif,4,");
  EXPECT_EQ(review({"--match", folder_.write("edited.csv", text)}).status, 0);
  EXPECT_THAT(rows(), Contains(Pair("roll03_03.tif", "3")));
  EXPECT_THAT(result().at("matching").at("notes").dump(), HasSubstr("not marked as fixed"));
}

TEST_F(MatchFile, a_log_that_cannot_be_read_does_not_cost_the_readings) {
  log_ = folder_.write("log.csv", "PK\x03\x04 a spreadsheet's own file");
  const ProgramRun run = review({});
  EXPECT_EQ(run.status, 1) << run.err;
  const nlohmann::json review = result();
  EXPECT_EQ(review.at("frames").size(), 4U);
  EXPECT_THAT(review.at("warnings").at(0).dump(),
              AllOf(HasSubstr("log.csv"), HasSubstr("spreadsheet"), HasSubstr("CSV")));
}

TEST_F(MatchFile, one_frame_of_the_roll_keeps_its_number) {
  for (const char* name : {"roll03_03.tif", "roll03_04.tif", "roll03_05.tif"}) {
    std::filesystem::remove(folder_ / "scans" / name);
  }
  log_ = std::string(BASEFOG_SAMPLES "/roll/log.csv");
  ASSERT_EQ(review({}).status, 0);
  EXPECT_THAT(rows(), UnorderedElementsAre(Pair("roll03_07.tif", "7")));
  EXPECT_FALSE(result().at("matching").contains("doubtful"));
}

TEST_F(MatchFile, may_be_corrected_where_it_was_written) {
  ASSERT_EQ(review({}).status, 0);
  const std::string own = "file,frame\nroll03_03.tif,4\nroll03_04.tif,3\n";
  std::ofstream(folder_ / "out" / "match.csv") << own;
  EXPECT_EQ(review({"--match", folder_ / "out" / "match.csv"}).status, 0);
  EXPECT_THAT(rows(), Contains(Pair("roll03_03.tif", "4")));
  EXPECT_EQ(written(), own);
}

TEST_F(MatchFile, says_which_line_names_nothing_on_the_roll) {
  const auto error_of = [&](const std::string& pairs) {
    const ProgramRun run = review({"--match", folder_.write("pairs.csv", pairs)});
    EXPECT_EQ(run.status, 2);
    EXPECT_FALSE(std::filesystem::exists(folder_ / "out"));
    return run.err;
  };
  EXPECT_THAT(error_of("file,frame\nroll03_09.tif,3\n"),
              AllOf(HasSubstr("pairs.csv"), HasSubstr("line 2"), HasSubstr("not on this roll")));
  EXPECT_THAT(error_of("file,frame\nroll03_03.tif,12\n"), HasSubstr("no row for"));
  EXPECT_THAT(error_of("file,frame\nroll03_03.tif,3\nroll03_04.tif,3\n"),
              HasSubstr("line 3 to a second scan"));
  EXPECT_THAT(error_of("scan,row\nroll03_03.tif,3\n"), HasSubstr("file,frame"));
}

TEST_F(MatchFile, a_roll_in_two_folders_is_one_roll) {
  std::filesystem::create_directory(folder_ / "more");
  std::filesystem::rename(folder_ / "scans" / "roll03_03.tif", folder_ / "more" / "roll03_03.tif");
  const ProgramRun run = review({folder_ / "more"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(rows(), UnorderedElementsAre(Pair("roll03_03.tif", "3"), Pair("roll03_04.tif", "4"),
                                           Pair("roll03_05.tif", "5"), Pair("roll03_07.tif", "7")));
}

TEST_F(MatchFile, what_is_doubtful_is_shown_with_what_else_it_may_be) {
  // Rows without numbers and without a difference; files without numbers.
  std::map<std::string, std::string> names = {{"roll03_03.tif", "c.tif"},
                                              {"roll03_04.tif", "d.tif"},
                                              {"roll03_05.tif", "e.tif"},
                                              {"roll03_07.tif", "f.tif"}};
  for (const auto& [from, to] : names) {
    std::filesystem::rename(folder_ / "scans" / from, folder_ / "scans" / to);
  }
  log_ = folder_.write("log.csv", "shutter,aperture,iso,mode\n1/60,8,400,A\n1/60,8,400,A\n");
  const ProgramRun run = review({"--film-speed", "400"});
  EXPECT_EQ(run.status, 0) << run.err;
  const nlohmann::json review = result();
  ASSERT_TRUE(review.at("matching").contains("doubtful"));
  EXPECT_THAT(review.at("matching").at("doubtful").dump(),
              AllOf(HasSubstr("line 2"), HasSubstr("line 3"), HasSubstr("%")));
  EXPECT_FALSE(review.at("questions").empty());
  EXPECT_THAT(review.at("questions").at(0).dump(), HasSubstr("--match"));
  EXPECT_THAT(content_of(folder_ / "out" / "report.html"), HasSubstr("Doubtful pairs"));
  EXPECT_THAT(written(), HasSubstr("line 2"));
}

TEST_F(MatchFile, words_that_cannot_be_true_of_the_light_are_named_with_both) {
  // 1/15 at f/5.6 on ISO 400 is right for EV 7; full sun is EV 14.5 to 16 with its subjects
  // [PH2.7].
  add_scan("roll03_12.tif", "roll03_12.tif");
  log_ = folder_.write("log.csv",
                       "frame,shutter,aperture,iso,mode,compensation,scene\n"
                       "3,1/500,5.6,400,A,,\n4,1/125,8,400,A,+2,\n5,1/60,8,400,A,+2,\n"
                       "7,1/15,4,400,M,,\n12,1/15,5.6,400,M,,full sun\n");
  EXPECT_EQ(review({}).status, 0);
  const nlohmann::json review = result();
  EXPECT_THAT(review.at("warnings").dump(),
              AllOf(HasSubstr("full sun"), HasSubstr("EV 14.5 to 16"), HasSubstr("roll03_12")));
  for (const auto& frame : review.at("frames")) {
    if (!frame.contains("log_row")) continue;
    const auto& ci95 = frame.at("scene_ev").at("ci95");
    EXPECT_LT(ci95.at(0), frame.at("scene_ev").at("ev_100"));
    if (!ci95.at(1).is_null()) {
      EXPECT_GT(ci95.at(1), frame.at("scene_ev").at("ev_100"));
    }
    if (frame.at("log_row") == "12") {
      EXPECT_LT(ci95.at(1), 9.5);
    }
  }
  EXPECT_THAT(content_of(folder_ / "out" / "report.html"), HasSubstr("but settings and film give"));
}

TEST_F(MatchFile, corrections_that_were_not_handed_back_are_never_lost) {
  ASSERT_LE(review({}).status, 1);
  std::string corrected = written();
  const std::size_t row = corrected.find("roll03_05.tif");
  ASSERT_NE(row, std::string::npos);
  const std::size_t fixed = corrected.find(",,", row);
  ASSERT_LT(fixed, corrected.find('\n', row));
  corrected.replace(fixed, 2, ",yes,");
  std::ofstream(folder_ / "out" / "match.csv", std::ios::binary) << corrected;
  const ProgramRun again = review({});
  EXPECT_EQ(written(), corrected);
  EXPECT_THAT(again.err, HasSubstr("holds corrections and stays as it was"));
  // One without any is made anew.
  std::filesystem::remove(folder_ / "out" / "match.csv");
  ASSERT_LE(review({}).status, 1);
  EXPECT_EQ(review({}).err, "");
}

}  // namespace
}  // namespace basefog

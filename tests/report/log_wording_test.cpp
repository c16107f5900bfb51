// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/log_wording.hpp"

#include <gmock/gmock.h>

#include "basefog/log/camera.hpp"
#include "basefog/log/log.hpp"

namespace basefog::report {
namespace {

using log::Doubt;
using log::Doubted;
using testing::ElementsAre;
using testing::HasSubstr;

std::string text_of(const std::string& value, log::Doubts doubts) {
  return remark_text({2, "shutter", value, std::move(doubts)});
}

std::vector<std::string> texts_of(std::string_view table) {
  std::vector<std::string> texts;
  for (const log::LogRemark& remark : log::parse_shot_log(table, "log.csv").remarks) {
    texts.push_back(remark_text(remark));
  }
  return texts;
}

TEST(RemarkText, names_the_value_and_says_all_that_is_doubtful_of_it) {
  EXPECT_EQ(text_of("fast", {Doubt::not_a_time}), "\"fast\" is not a shutter time.");
  EXPECT_EQ(text_of("60-15?", {Doubt::hedged, Doubt::wide_range}),
            "\"60-15?\" is marked as uncertain; spans more than a stop; read as halfway.");
  EXPECT_EQ(text_of("56", {Doubted(Doubt::lost_point, {FNumber(5.6)})}),
            "\"56\" has probably lost its decimal point; read as f/5.6.");
  EXPECT_EQ(text_of("21", {Doubted(Doubt::read_as_degrees, {FilmSpeed(100)})}),
            "\"21\" is no marked speed; read as degrees, ISO 100.");
  EXPECT_EQ(text_of("8 {x}", {Doubted(Doubt::goes_on, {"{x}"})}),
            "\"8 {x}\" goes on with \"{x}\", which was not understood.");
}

TEST(RemarkText, says_which_of_two_settings_is_doubtful) {
  EXPECT_THAT(texts_of("frame,settings,iso\n1,60? f8?,400\n"),
              ElementsAre("\"60? f8?\" as a shutter time, \"60?\" is marked as uncertain; as an "
                          "aperture, \"f8?\" is marked as uncertain."));
}

TEST(RemarkText, is_a_sentence_about_lines_columns_and_labels) {
  EXPECT_THAT(texts_of("frame,shutter,f,battery\n1,60,8,\n1,60,8,low\n"),
              ElementsAre("The column \"battery\" was not understood or stands twice; its words "
                          "were kept as notes.",
                          "Frame 1 stands in the log more than once."));
  EXPECT_THAT(texts_of("frame,shutter,f,comp\n1,60,5,6,0\n2,60,8,0,5,1\n"),
              ElementsAre("This line has decimal commas outside quotes; read as 5,6.",
                          HasSubstr("This line has 6 cells for 4 columns; put values")));
  EXPECT_THAT(texts_of("roll,shutter,f\n12,60,8\n13,60,8\n"),
              ElementsAre("The column \"roll\" holds 2 different values; keep the log of one roll "
                          "in one file."));
}

TEST(RemarkText, says_what_the_camera_cannot_do) {
  EXPECT_EQ(text_of("1/1000", {Doubt::beyond_shutter}), "1/1000 is beyond this camera's shutter.");
  EXPECT_EQ(text_of("f/22", {Doubted(Doubt::beyond_lens, {"normal"})}),
            "f/22 is beyond the lens \"normal\".");
  EXPECT_EQ(text_of("f/22", {Doubt::beyond_lens}), "f/22 is beyond the lens.");
}

TEST(ContradictionText, says_both_sides) {
  const log::SceneLight sun{14.5, 16, "full sun"};
  EXPECT_EQ(contradiction_text({sun, {Stops(9), Stops(8.5), Stops(9.5)}}),
            "The log says \"full sun\", which is EV 14.5 to 16 at ISO 100, but settings and film "
            "give EV 9.0 (8.5 to 9.5).");
  EXPECT_THAT(contradiction_text({sun, {Stops(9), {}, Stops(9.5)}}), HasSubstr("at most EV 9.5."));
}

}  // namespace
}  // namespace basefog::report

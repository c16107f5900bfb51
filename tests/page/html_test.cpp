// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <regex>
#include <set>
#include <sstream>

#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"

namespace basefog::page {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string page(const roll::Analysis& analysis) {
  std::ostringstream out;
  write_html(out, analysis);
  return out.str();
}

/// All values of an attribute in the page.
std::vector<std::string> values(const std::string& html, const std::string& attribute) {
  std::vector<std::string> found;
  const std::string start = " " + attribute + "=\"";
  for (std::size_t at = html.find(start); at != std::string::npos; at = html.find(start, at)) {
    at += start.size();
    found.push_back(html.substr(at, html.find('"', at) - at));
  }
  return found;
}

/// Everything between the head and the script, in which the page's own code may name tags.
std::string body(const std::string& html) {
  const std::size_t begin = html.find("<body>");
  return html.substr(begin, html.rfind("<script>") - begin);
}

TEST(WriteHtml, lets_no_text_become_markup) {
  const std::string html = page(sample_analysis());
  EXPECT_THAT(html, Not(HasSubstr("<script>alert")));
  EXPECT_THAT(html, Not(HasSubstr("<img src=x")));
  EXPECT_THAT(html, Not(HasSubstr("\x1b")));
  EXPECT_THAT(html, HasSubstr("&lt;script&gt;alert(&#39;scene&#39;)&lt;/script&gt;"));
  EXPECT_THAT(html, HasSubstr("&lt;img src=x onerror=alert(1)&gt;"));
}

TEST(WriteHtml, escapes_all_text_of_an_analysis) {
  roll::Analysis analysis = sample_analysis();
  const std::string evil = "</style></script><b onclick='x'>\"&";
  analysis.film.name = analysis.film.notes = evil;
  analysis.log->camera = analysis.log->rows[1].note = analysis.log->rows[1].frame = evil;
  analysis.log->path = "x/" + evil + ".csv";
  const log::LogRemark remark{3, evil, evil, {log::Doubted(log::Doubt::goes_on, {evil})}};
  analysis.log->remarks.push_back(remark);
  analysis.meter->not_identifiable = {{meter::Confounded::levels, evil, evil}};
  analysis.next_roll->add = {{plan::AllowanceFor::scene, evil, Stops(1)}};
  analysis.advice = {roll::CheckCell{.slope = analysis.meter->effects.back(), .battery = evil}};
  analysis.warnings = {
      {evil, Flag::unreadable_file, density::ScanFailure{evil, Flag::unreadable_file, evil, evil}},
      {evil, Flag::log_value_doubtful, remark},
      {evil, Flag::log_contradicts_scene, log::SceneContradiction{{1, 2, evil}, {}}}};
  for (roll::FrameResult& frame : analysis.frames) {
    frame.measurement.label = evil;
    frame.measurement.file = "y/" + evil + ".tif";
    frame.measurement.response.source.name = evil;
  }
  EXPECT_THAT(page(analysis), Not(HasSubstr("<b onclick")));
}

TEST(WriteHtml, asks_for_nothing_from_anywhere) {
  const std::string html = page(sample_analysis());
  for (const std::string& source : values(html, "src")) {
    EXPECT_TRUE(source.starts_with("data:image/jpeg;base64,")) << source.substr(0, 40);
  }
  for (const std::string& link : values(html, "href")) EXPECT_TRUE(link.starts_with("#")) << link;
  EXPECT_THAT(html, Not(HasSubstr("url(")));
  EXPECT_THAT(html, Not(HasSubstr("@import")));
  EXPECT_THAT(html, HasSubstr("default-src 'none'"));
}

TEST(WriteHtml, links_and_labels_lead_somewhere_and_names_are_unique) {
  const std::string html = page(sample_analysis());
  std::set<std::string> ids;
  for (const std::string& id : values(html, "id")) EXPECT_TRUE(ids.insert(id).second) << id;
  for (const std::string& link : values(html, "href")) EXPECT_TRUE(ids.contains(link.substr(1)));
  for (const std::string& label : values(html, "aria-labelledby")) {
    EXPECT_TRUE(ids.contains(label)) << label;
  }
}

TEST(WriteHtml, closes_what_it_opens) {
  const std::set<std::string> kVoid{"img", "br", "meta"};
  for (const roll::Analysis& analysis : {sample_analysis(), sample_analysis_without_log(),
                                         sample_colour_analysis(), roll::Analysis{}}) {
    const std::string html = body(page(analysis));
    std::vector<std::string> open;
    const std::regex tag("<(/?)([a-zA-Z0-9]+)([^>]*?)(/?)>");
    for (std::sregex_iterator it(html.begin(), html.end(), tag), end; it != end; ++it) {
      const std::string name = (*it)[2];
      if ((*it)[4] == "/" || kVoid.contains(name)) continue;
      if ((*it)[1] == "") {
        open.push_back(name);
      } else {
        ASSERT_FALSE(open.empty());
        ASSERT_EQ(open.back(), name);
        open.pop_back();
      }
    }
    EXPECT_EQ(open, std::vector<std::string>{"body"});
  }
}

TEST(WriteHtml, every_picture_says_what_it_shows) {
  const std::string html = page(sample_analysis());
  for (const std::string& alt : values(html, "alt")) EXPECT_FALSE(alt.empty());
  EXPECT_EQ(values(html, "alt").size(), values(html, "src").size());
}

TEST(WriteHtml, begins_with_what_to_do_next_time_in_three_sentences) {
  const std::string html = page(sample_analysis());
  const std::size_t say = html.find("<p class=\"say\">");
  ASSERT_NE(say, std::string::npos);
  const std::string words = html.substr(say, html.find("</p>", say) - say);
  EXPECT_THAT(words, HasSubstr("Set the dial to <b>250</b> instead of 400"));
  EXPECT_THAT(words, HasSubstr("At <b>1/500</b> give 2/3 stop less than the meter then says."));
  EXPECT_THAT(words, Not(HasSubstr("bracket")));
  EXPECT_LT(say, html.find("id=\"roll\""));
}

TEST(WriteHtml, sets_apart_what_is_to_be_dialled_and_nothing_that_looks_like_it) {
  const auto said = [](const roll::Analysis& analysis) {
    const std::string html = page(analysis);
    const std::string start = "<p class=\"say\">";
    const std::size_t at = html.find(start) + start.size();
    return html.substr(at, html.find("</p>", at) - at);
  };
  roll::Analysis analysis = sample_analysis();
  analysis.next_roll->add.clear();
  analysis.next_roll->dial = {FilmSpeed(250), FilmSpeed(200), Stops(-1.0 / 3)};
  EXPECT_EQ(said(analysis),
            "Set the dial to <b>200 and compensation \u22121/3</b>, as for a film of 250.");
  analysis.next_roll->state = plan::PlanState::held_up;
  analysis.advice = {roll::AnswerFirst{roll::QuestionAbout::log}};
  EXPECT_THAT(said(analysis), HasSubstr("First say whether the log is this roll"));
}

TEST(WriteHtml, names_roll_and_camera_as_log_and_camera_file_do) {
  roll::Analysis analysis = sample_analysis();
  EXPECT_THAT(page(analysis), HasSubstr("<title>Roll \u201Croll07\u201D, bench camera</title>"));
  analysis.log->roll = "12";
  analysis.camera = log::default_camera();
  analysis.camera->name = "black one";
  EXPECT_THAT(page(analysis), HasSubstr("<title>Roll \u201C12\u201D, black one</title>"));
}

TEST(WriteHtml, says_of_an_effect_how_many_frames_it_has_and_nothing_where_it_is_not_known) {
  roll::Analysis analysis = sample_analysis();
  analysis.meter->effects = {
      {meter::BiasFactor::light_level, "per EV", {Stops(-0.03), Stops(-0.12), Stops(0.06)}, 1},
      {meter::BiasFactor::lens, "long one", {Stops(2), std::nullopt, std::nullopt}, 1}};
  const std::string html = page(analysis);
  EXPECT_THAT(html, HasSubstr("\u22120.03 (\u22120.12 to +0.06) over 1 frame<"));
  EXPECT_THAT(html, Not(HasSubstr("ong one")));
}

TEST(WriteHtml, a_remark_on_the_log_is_told_once) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->path = "log.csv";
  analysis.log->remarks = {{4, "Tv", "8?", {log::Doubt::hedged}}};
  analysis.warnings.push_back({"log.csv", Flag::log_value_doubtful, analysis.log->remarks.front()});
  const std::string html = page(analysis);
  EXPECT_THAT(html, HasSubstr("The log (log.csv)</span>Line 4, Tv &quot;8?&quot;: &quot;8?&quot; "
                              "is marked as uncertain. Correct"));
  const std::size_t first = html.find("marked as uncertain");
  EXPECT_EQ(html.find("marked as uncertain", first + 1), std::string::npos);
}

TEST(WriteHtml, what_is_not_known_has_no_number_to_sort_by) {
  roll::Analysis analysis = sample_colour_analysis();
  reading::FrameReading& reading = *analysis.frames[0].reading;
  const auto forget_ends = [](auto& answer) {
    answer.estimate.low.reset();
    answer.estimate.high.reset();
  };
  forget_ends(reading.correction);
  forget_ends(reading.exposure);
  forget_ends(reading.shadow_reserve);
  forget_ends(reading.highlight_room);
  // In the strip and in the table, a number a known frame.
  for (const char* name :
       {"data-correction", "data-exposure", "data-shadow", "data-room", "data-width"}) {
    EXPECT_EQ(values(page(analysis), name).size(), 2 * (analysis.frames.size() - 1)) << name;
  }
}

TEST(WriteHtml, follows_the_order_of_the_report) {
  const std::string html = page(sample_analysis());
  std::size_t last = 0;
  for (const char* id :
       {"next-time", "roll", "along", "meter", "frames", "log", "curve", "care", "how", "words"}) {
    const std::size_t place = html.find(std::string(" id=\"") + id + "\"");
    ASSERT_NE(place, std::string::npos) << id;
    EXPECT_GT(place, last) << id;
    last = place;
  }
}

TEST(WriteHtml, opens_frames_at_1200_pixels_and_a_roll_of_36_stays_under_ten_megabytes) {
  const std::string html = page(sample_long_roll(36, 1200));
  EXPECT_LT(html.size(), 10'000'000u);
  const std::vector<std::string> widths = values(html, "width");
  EXPECT_EQ(std::ranges::count(widths, "1200"), 36);
}

// Noise in every pixel, which no encoder can make small: pictures then give way, not the page.
TEST(WriteHtml, stays_under_ten_megabytes_whatever_the_grain) {
  roll::Analysis analysis = sample_long_roll(36, 1200);
  std::minstd_rand random(3);
  for (roll::FrameResult& frame : analysis.frames) {
    for (std::uint16_t& density : frame.measurement.negative.millidensity) {
      density = static_cast<std::uint16_t>(280 + random() % 1500);
    }
  }
  const std::string html = page(analysis);
  EXPECT_LT(html.size(), 10'000'000u);
  EXPECT_THAT(html, HasSubstr("corrected print, large"));
}

TEST(WriteHtml, leads_back_to_many_rolls_where_there_are_any) {
  std::ostringstream out;
  write_html(out, sample_analysis(), "../index.html");
  EXPECT_THAT(out.str(), HasSubstr("<a href=\"../index.html\">All rolls</a>"));
  EXPECT_THAT(page(sample_analysis()), Not(HasSubstr("All rolls")));
}

TEST(WriteHtml, has_the_previous_rolls_numbers_beside_this_ones) {
  roll::Analysis analysis = sample_analysis();
  analysis.previous_roll = meter::PreviousRoll{.name = "roll <2>",
                                               .date = "2026-03-01",
                                               .bias = StopsEstimate{Stops(-0.4), Stops(-0.9), {}},
                                               .rms = 0.62,
                                               .frames = 20};
  EXPECT_THAT(page(analysis), HasSubstr("Previous roll (roll &lt;2&gt;, 2026-03-01): "));
  EXPECT_THAT(page(analysis), HasSubstr("over 20 frames; frames off by 0.6 rms"));
  EXPECT_THAT(page(sample_analysis()), Not(HasSubstr("Previous roll")));
}

TEST(WriteHtml, an_empty_roll_is_a_page_too) {
  EXPECT_THAT(page(roll::Analysis{}), HasSubstr("could not be measured"));
}

}  // namespace
}  // namespace basefog::page

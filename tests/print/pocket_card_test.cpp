// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/pocket_card.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"

namespace basefog::print {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string card(const roll::Analysis& analysis) {
  std::ostringstream out;
  write_pocket_card(out, analysis);
  return out.str();
}

TEST(PocketCard, says_what_to_dial_and_to_allow_for_in_thirds) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->rows[1].date = "2026-05-01T10:00:00";
  analysis.log->rows[2].date = "2026-05-14";
  const std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr(">Dial EI 250<"));
  EXPECT_THAT(svg, HasSubstr(">1/500<"));
  EXPECT_THAT(svg, HasSubstr(">\u2212\u2154<"));
  EXPECT_THAT(svg, HasSubstr(">+1\u2154<")) << "a stop and a half is nearest to 1 2/3";
  EXPECT_THAT(svg, HasSubstr("2026-05-01 to 2026-05-14"));
  EXPECT_THAT(svg, HasSubstr("width=\"85.6mm\" height=\"53.98mm\""));
}

TEST(PocketCard, is_honest_when_nothing_is_to_be_changed) {
  const std::string svg = card(sample_analysis_without_log());
  EXPECT_THAT(svg, HasSubstr(">Dial as before<"));
  EXPECT_THAT(svg, HasSubstr("No speed or scene needs an allowance."));
}

TEST(PocketCard, leaves_nothing_out_in_silence) {
  roll::Analysis analysis = sample_analysis();
  const auto effect = [](const char* level, double stops) {
    return meter::BiasEffect{.factor = "", .level = level, .stops = {Stops(stops), {}, {}}};
  };
  analysis.advice = {roll::AvoidSpeed{effect("1/1000", 1.3)},
                     roll::AllowForAperture{effect("f/2", -0.667)}};
  std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr(">1/1000<"));
  EXPECT_THAT(svg, HasSubstr(">avoid<"));
  EXPECT_THAT(svg, HasSubstr(">f/2<"));
  EXPECT_THAT(svg, HasSubstr(">+\u2154<"));
  EXPECT_THAT(svg, Not(HasSubstr("needs an allowance")));

  const auto metering = [](const char* scene) {
    return roll::MeterScene{.technique = {.scene = scene, .stops = {Stops(1), {}, {}}}};
  };
  analysis.advice.clear();
  for (const char* scene : {"snow", "lamps", "beach", "stage", "fog"}) {
    analysis.advice.push_back(metering(scene));
  }
  svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr(">fog<"));
  EXPECT_THAT(svg, Not(HasSubstr("more: see")));
  analysis.advice.push_back(metering("dusk"));
  svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr(">stage<"));
  EXPECT_THAT(svg, HasSubstr(">and 2 more: see the report<"));
  EXPECT_THAT(svg, Not(HasSubstr(">fog<")));
}

TEST(PocketCard, escapes_what_it_prints) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->camera = analysis.film.name = "<script>x</script>";
  std::get<roll::AllowForSpeed>(analysis.advice[1]).speed.level = "\"><a href='x'>";
  const std::string svg = card(analysis);
  EXPECT_THAT(svg, Not(HasSubstr("<script")));
  EXPECT_THAT(svg, Not(HasSubstr("<a href")));
}

}  // namespace
}  // namespace basefog::print

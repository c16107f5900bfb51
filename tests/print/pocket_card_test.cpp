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
  write_pocket_card_svg(out, analysis);
  return out.str();
}

TEST(PocketCard, says_what_to_dial_and_to_allow_for_in_thirds) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->rows[1].date = "2026-05-01T10:00:00";
  analysis.log->rows[2].date = "2026-05-14";
  const std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nDial EI 250\n"));
  EXPECT_THAT(svg, HasSubstr("\n1/500\n"));
  EXPECT_THAT(svg, HasSubstr("\n\u2212\u2154\n"));
  EXPECT_THAT(svg, HasSubstr("\n+1\u2154\n")) << "a stop and a half is nearest to 1 2/3";
  EXPECT_THAT(svg, HasSubstr("2026-05-01 to 2026-05-14"));
}

TEST(PocketCard, is_the_same_to_the_byte_each_time) {
  const roll::Analysis analysis = sample_analysis();
  EXPECT_EQ(card(analysis), card(analysis));
  std::ostringstream first;
  std::ostringstream second;
  write_pocket_card_pdf(first, analysis);
  write_pocket_card_pdf(second, analysis);
  EXPECT_EQ(first.str(), second.str());
}

TEST(PocketCard, is_honest_when_nothing_is_to_be_changed) {
  const std::string svg = card(sample_analysis_without_log());
  EXPECT_THAT(svg, HasSubstr("\nDial as before\n"));
  EXPECT_THAT(svg, HasSubstr("No speed or scene needs an allowance."));
}

TEST(PocketCard, leaves_nothing_out_in_silence) {
  roll::Analysis analysis = sample_analysis();
<<<<<<< HEAD
  using enum meter::BiasFactor;
  const auto effect = [](meter::BiasFactor factor, const char* level, double stops) {
    return meter::BiasEffect{.factor = factor, .level = level, .stops = {Stops(stops), {}, {}}};
||||||| a688c1f
  const auto effect = [](const char* level, double stops) {
    return meter::BiasEffect{.factor = "", .level = level, .stops = {Stops(stops), {}, {}}};
=======
  const auto effect = [](const char* level, double stops) {
    return meter::BiasEffect{.level = level, .stops = {Stops(stops), {}, {}}};
>>>>>>> factsroll
  };
  analysis.advice = {roll::AvoidSpeed{effect(shutter, "1/1000", 1.3)},
                     roll::AllowForAperture{effect(aperture, "f/2", -0.667)}};
  std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\n1/1000\n"));
  EXPECT_THAT(svg, HasSubstr("\navoid\n"));
  EXPECT_THAT(svg, HasSubstr("\nf/2\n"));
  EXPECT_THAT(svg, HasSubstr("\n+\u2154\n"));
  EXPECT_THAT(svg, Not(HasSubstr("needs an allowance")));

  const auto metering = [](const char* scene) {
    return roll::MeterScene{.technique = {.scene = scene, .stops = {Stops(1), {}, {}}}};
  };
  analysis.advice.clear();
  for (const char* scene : {"snow", "lamps", "beach", "stage", "fog"}) {
    analysis.advice.push_back(metering(scene));
  }
  svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nfog\n"));
  EXPECT_THAT(svg, Not(HasSubstr("more: see")));
  analysis.advice.push_back(metering("dusk"));
  svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nstage\n"));
  EXPECT_THAT(svg, HasSubstr("\nand 2 more: see the report\n"));
  EXPECT_THAT(svg, Not(HasSubstr("\nfog\n")));
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

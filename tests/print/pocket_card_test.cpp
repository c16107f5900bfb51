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
  write_pocket_card_svg(out, card_of(analysis));
  return out.str();
}

TEST(PocketCard, says_what_to_dial_and_to_allow_for_in_thirds) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->rows[1].date = "2026-05-01T10:00:00";
  analysis.log->rows[2].date = "2026-05-14";
  const std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nDial 250\n"));
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
  write_pocket_card_pdf(first, card_of(analysis));
  write_pocket_card_pdf(second, card_of(analysis));
  EXPECT_EQ(first.str(), second.str());
}

TEST(PocketCard, is_honest_when_nothing_is_to_be_changed) {
  roll::Analysis analysis = sample_analysis();
  analysis.next_roll = unchanged(*analysis.next_roll, plan::PlanState::as_asked);
  EXPECT_THAT(card(analysis), HasSubstr("\nDial 400\n"));
  EXPECT_THAT(card(analysis), HasSubstr("No speed or scene needs an allowance."));
  analysis.next_roll->state = plan::PlanState::not_known;
  EXPECT_THAT(card(analysis), HasSubstr("As before: not known well enough to change."));
}

TEST(PocketCard, of_the_ledger_names_films_and_dates) {
  roll::CameraReview review{.next_roll = sample_analysis().next_roll};
  review.history.camera = "bench camera";
  review.history.films = {"plain 400"};
  review.history.film_speed = FilmSpeed(400);
  review.history.first_date = "2026-03-01T10:00";
  review.history.last_date = "2026-05-01";
  std::ostringstream out;
  write_pocket_card_svg(out, card_of(review));
  EXPECT_THAT(out.str(), HasSubstr("\nbench camera\n"));
  EXPECT_THAT(out.str(), HasSubstr("Valid for plain 400, ISO 400; shot 2026-03-01 to 2026-05-01"));
}

TEST(PocketCard, leaves_nothing_out_in_silence) {
  roll::Analysis analysis = sample_analysis();
  std::vector<plan::Allowance>& add = analysis.next_roll->add;
  add.clear();
  for (const char* scene : {"snow", "lamps", "beach", "stage", "fog"}) {
    add.push_back({plan::AllowanceFor::scene, scene, Stops(1)});
  }
  std::string svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nfog\n"));
  EXPECT_THAT(svg, Not(HasSubstr("more: see")));
  add.push_back({plan::AllowanceFor::scene, "dusk", Stops(1)});
  svg = card(analysis);
  EXPECT_THAT(svg, HasSubstr("\nstage\n"));
  EXPECT_THAT(svg, HasSubstr("\nand 2 more: see the report\n"));
  EXPECT_THAT(svg, Not(HasSubstr("\nfog\n")));
}

TEST(PocketCard, escapes_what_it_prints) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->camera = analysis.film.name = "<script>x</script>";
  analysis.next_roll->add[0].level = "\"><a href='x'>";
  const std::string svg = card(analysis);
  EXPECT_THAT(svg, Not(HasSubstr("<script")));
  EXPECT_THAT(svg, Not(HasSubstr("<a href")));
}

}  // namespace
}  // namespace basefog::print

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/film_use.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "basefog/film/film_test.hpp"
#include "makers/golden_table.hpp"

namespace basefog::memory {
namespace {

TEST(FilmUse, names_differ_by_writing_alone) {
  EXPECT_TRUE(is_same_film("Harbour Pan 400", "harbour pan iso 400"));
  EXPECT_TRUE(is_same_film("Harbour-Pan 400", "HARBOUR PAN (400)"));
  EXPECT_TRUE(is_same_film("Harbour Pan 400", "Harbor Pan 400"));  // one letter of ten and more
  EXPECT_TRUE(is_same_film("Harbour Pan 400, ISO 400", "Harbour Pan 400"));
}

TEST(FilmUse, other_films_stay_apart) {
  EXPECT_FALSE(is_same_film("Harbour Pan 400", "Harbour Pan 100"));
  EXPECT_FALSE(is_same_film("Pan 400", "Pen 400"));  // short: may be another
  EXPECT_FALSE(is_same_film("Harbour Pan", "Harbour Pan 400"));
  EXPECT_FALSE(is_same_film("Harbour Pan 400", "Hill Pan 400"));
}

TEST(FilmUse, a_speed_at_the_end_is_a_label) {
  EXPECT_EQ(with_speed("Harbour Pan", FilmSpeed(400)), "Harbour Pan 400");
  EXPECT_EQ(with_speed("Harbour Pan 400", FilmSpeed(320)), "Harbour Pan 400");
  EXPECT_EQ(with_speed("ISO 400", FilmSpeed(400)), "ISO 400");
  EXPECT_EQ(with_speed("", FilmSpeed(400)), "");
}

TEST(FilmUse, a_speed_names_no_film) {
  EXPECT_FALSE(names_a_film("ISO 400"));
  EXPECT_FALSE(names_a_film(""));
  EXPECT_FALSE(is_same_film("", ""));
  EXPECT_FALSE(is_same_film("ISO 400", "400"));
}

TEST(FilmUse, developments_are_read_as_people_write_them) {
  const auto minutes = [](const char* text) { return read_development(text).minutes.value_or(-1); };
  EXPECT_DOUBLE_EQ(minutes("9 min at 20 C"), 9);
  EXPECT_DOUBLE_EQ(minutes("fine grain 1+50, 9'30\", 20 C"), 9.5);
  EXPECT_DOUBLE_EQ(minutes("7:30 at 24C"), 7.5);
  EXPECT_DOUBLE_EQ(minutes("8.5 minutes"), 8.5);
  EXPECT_DOUBLE_EQ(minutes("1:50, 68 F"), -1);  // a dilution
  EXPECT_DOUBLE_EQ(minutes("lab"), -1);
  EXPECT_DOUBLE_EQ(read_development("9 min at 20 \xC2\xB0"
                                    "C")
                       .celsius.value_or(-1),
                   20);
  EXPECT_DOUBLE_EQ(read_development("11 min 68 F").celsius.value_or(-1), 20);
  EXPECT_TRUE(read_development("by the lab").by_lab);
  EXPECT_FALSE(read_development("label").by_lab);
  EXPECT_EQ(read_development("fine grain 1+50 9 min 20 C").words,
            read_development("Fine Grain 1+50, 20 C for 9 min").words);
}

TEST(FilmUse, developments_are_alike_or_say_how_much_they_know_of_each_other) {
  const auto kin = [](const char* a, const char* b, double push = 0) {
    return kinship_of({.developed = a, .push = Stops(push)}, {.developed = b});
  };
  EXPECT_TRUE(kin("9 min at 20 C", "20 C, 9 min").same);
  EXPECT_TRUE(kin("", "").same);
  EXPECT_TRUE(kin("lab", "Lab").same);
  EXPECT_FALSE(kin("lab", "9 min at 20 C").same);
  EXPECT_FALSE(kin("9 min at 20 C", "9 min at 24 C").same);
  EXPECT_FALSE(kin("lab", "lab", 1).same);
  // A stop's push: 1.2 times the gradient (film_facts).
  EXPECT_NEAR(kin("lab", "lab", 1).log_contrast, std::log(1.2), 1e-12);
  // What cannot be compared is known as developments at large.
  EXPECT_DOUBLE_EQ(kin("lab", "9 min at 20 C").log_contrast, 0);
  EXPECT_NEAR(kin("lab", "9 min at 20 C").log_contrast_sigma, 0.15, 1e-12);
}

// Six times of one film [StepWedge]: from each, the contrast of every other is as the law of time
// says, within what it says it may miss.
TEST(FilmUse, six_published_times_follow_the_law_within_its_spread) {
  const GoldenTable table = read_golden("densitometer/six_development_times.csv");
  struct Time {
    std::string name;
    double log_gradient;
  };
  std::vector<Time> times;
  for (std::size_t column = 1; column < table.columns.size(); ++column) {
    if (!read_development(table.columns[column]).words.empty()) continue;  // exposed three times
    // Average gradient of ISO 6: from 0.10 above the least density over 1.30 log H.
    double base = 10;
    for (const auto& row : table.rows) base = std::min(base, row.at(column));
    const auto density_at = [&](double log_h) {
      for (std::size_t r = 1; r < table.rows.size(); ++r) {
        const double x0 = table.rows[r - 1][0];
        const double x1 = table.rows[r][0];
        if (log_h > x1) continue;
        return table.rows[r - 1].at(column) +
               (log_h - x0) / (x1 - x0) * (table.rows[r].at(column) - table.rows[r - 1].at(column));
      }
      return table.rows.back().at(column);
    };
    double at = table.rows.front()[0];
    while (density_at(at) < base + 0.1) at += 0.001;
    times.push_back({table.columns[column], std::log((density_at(at + 1.3) - base - 0.1) / 1.3)});
  }
  ASSERT_EQ(times.size(), 6U);
  for (const Time& a : times) {
    for (const Time& b : times) {
      const Kinship kin = kinship_of({.developed = a.name}, {.developed = b.name});
      EXPECT_NEAR(a.log_gradient - b.log_gradient, kin.log_contrast,
                  2.5 * kin.log_contrast_sigma + 0.03)
          << a.name << " from " << b.name;
    }
  }
}

}  // namespace
}  // namespace basefog::memory

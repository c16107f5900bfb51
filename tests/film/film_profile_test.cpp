// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/film_profile.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "basefog/core/enum_array.hpp"
#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/film/sensitometry.hpp"
#include "makers/golden_table.hpp"
#include "test_folder.hpp"

namespace basefog::film {
namespace {

class ProfileFile : public testing::Test {
 protected:
  std::filesystem::path path = test::test_folder() / "basefog_profile.toml";
  ~ProfileFile() override { std::filesystem::remove(path); }

  FilmProfile read(const std::string& text) {
    std::ofstream(path) << text;
    return read_film_profile(path);
  }
  std::string problem(const std::string& text) {
    try {
      read(text);
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed);
      EXPECT_NE(std::string(error.what()).find("basefog_profile.toml"), std::string::npos);
      return error.problem();
    }
    return "";
  }
};

// [ISO6]: 0.8/S; [ISO5800]: sqrt(2)/S lux·s; 0.822 stop apart for equal S (computed).
TEST(FilmProfile, speed_point_matches_ISO6_and_ISO5800) {
  EXPECT_NEAR(generic_black_and_white(FilmSpeed(400)).speed_point().lux_seconds(), 0.002, 1e-12);
  const Stops apart = generic_colour_negative(FilmSpeed(100)).speed_point() -
                      generic_black_and_white(FilmSpeed(100)).speed_point();
  EXPECT_NEAR(apart.value(), 0.822, 0.001);
}

TEST(FilmProfile, every_kind_has_its_generic_film_and_its_word) {
  for (const FilmKind kind : every<FilmKind>()) {
    const FilmProfile film = generic_film(kind, FilmSpeed(200));
    EXPECT_EQ(film.kind, kind);
    EXPECT_EQ(film.iso_speed.iso(), 200);
    EXPECT_EQ(film_kind_of(text_of(kind).word), kind);
  }
  EXPECT_FALSE(film_kind_of("slide"));
}

// [ISO6]: net density 0.10 at the speed point rises by 0.80 over 1.30 log H.
TEST(FilmProfile, generic_black_and_white_matches_ISO6) {
  for (const FilmProfile& film :
       {generic_black_and_white(FilmSpeed(400)), generic_chromogenic(FilmSpeed(400))}) {
    const CharacteristicCurve& curve = film.layers.front().curve;
    EXPECT_NEAR(curve.density(Stops(0)).value(), 0.10, 1e-6);
    EXPECT_NEAR(curve.density(Stops::from_log10(1.30)).value(), 0.90, 1e-6);
  }
}

// [KodakE4050], [KodakE4051], [KodakE4046]: the generic colour curve is their mean, each read
// relative to its own [ISO5800] speed point.
TEST(FilmProfile, generic_colour_negative_is_the_mean_of_three_published_curves) {
  const FilmProfile film = generic_colour_negative(FilmSpeed(400));
  std::vector<GoldenTable> tables;
  for (const char* name : {"E4050", "E4051", "E4046"}) {
    tables.push_back(read_golden(std::string("curves/") + name + ".csv"));
  }
  const auto at = [](const GoldenTable& table, std::size_t column, double log_h) {
    for (std::size_t i = 1; i < table.rows.size(); ++i) {
      const auto& a = table.rows[i - 1];
      const auto& b = table.rows[i];
      if (b[0] < log_h) continue;
      return a[column] + (b[column] - a[column]) * (log_h - a[0]) / (b[0] - a[0]);
    }
    return double{NAN};
  };
  const auto least = [](const GoldenTable& table, std::size_t column) {
    double base = INFINITY;
    for (const auto& row : table.rows) base = std::min(base, row[column]);
    return base;
  };
  for (double stops = -2; stops <= 9; stops += 1) {
    for (std::size_t layer = 0; layer < 3; ++layer) {
      double mean = 0;
      for (const GoldenTable& table : tables) {
        std::vector<LogExposure> threshold;
        for (std::size_t c = 1; c <= 3; ++c) {
          double log_h = table.rows.front()[0];
          while (at(table, c, log_h) < least(table, c) + 0.15) log_h += 1e-3;
          threshold.push_back(LogExposure::from_log10(log_h));
        }
        const LogExposure zero = iso5800_speed_point(threshold[0], threshold[1], threshold[2]);
        mean += (at(table, layer + 1, (zero + Stops(stops)).log10()) - least(table, layer + 1)) / 3;
      }
      EXPECT_NEAR(film.layers[layer].curve.density(Stops(stops)).value(), mean, 0.004)
          << "layer " << layer << ", " << stops << " stops";
    }
  }
}

TEST_F(ProfileFile, write_and_read_roundtrips) {
  for (FilmProfile film :
       {generic_black_and_white(FilmSpeed(320)), generic_chromogenic(FilmSpeed(400)),
        generic_colour_negative(FilmSpeed(200)).with_contrast(1.1)}) {
    film.name = "a \"test\" \\ film\nof two lines";
    film.notes = "grey card";
    film.contrast_source = ContrastSource::film_test;
    film.contrast_relative_sigma = 0.021;
    film.shoulder_sigma_stops = 0.75;
    film.toe_sigma_stops = 0.123;
    film.upper_gradient_sigma = 0.034;
    film.speed_measured = true;
    film.speed_sigma_stops = 0.0875;
    film.measured_through = "gamma 2.2, \"flatbed\"";
    film.reciprocity.exponent = 1.31;
    film.reciprocity.relative_sigma = 0.4;
    film.reciprocity.table = {{1, 1}, {10, 15}};
    std::ostringstream text;
    write_film_profile(text, film);
    const FilmProfile back = read(text.str());
    EXPECT_EQ(back.name, film.name);
    EXPECT_EQ(back.kind, film.kind);
    EXPECT_EQ(back.iso_speed, film.iso_speed);
    EXPECT_EQ(back.contrast_source, film.contrast_source);
    EXPECT_EQ(back.contrast_relative_sigma, film.contrast_relative_sigma);
    EXPECT_EQ(back.shoulder_sigma_stops, film.shoulder_sigma_stops);
    EXPECT_EQ(back.toe_sigma_stops, film.toe_sigma_stops);
    EXPECT_EQ(back.upper_gradient_sigma, film.upper_gradient_sigma);
    EXPECT_TRUE(back.speed_measured);
    EXPECT_EQ(back.speed_sigma_stops, film.speed_sigma_stops);
    EXPECT_EQ(back.measured_through, film.measured_through);
    EXPECT_EQ(back.notes, film.notes);
    EXPECT_EQ(back.reciprocity.exponent, film.reciprocity.exponent);
    EXPECT_EQ(back.reciprocity.relative_sigma, film.reciprocity.relative_sigma);
    ASSERT_EQ(back.reciprocity.table.size(), 2u);
    EXPECT_EQ(back.reciprocity.table[1].metered_seconds, 10);
    EXPECT_EQ(back.reciprocity.table[1].corrected_seconds, 15);
    ASSERT_EQ(back.layers.size(), film.layers.size());
    for (std::size_t i = 0; i < film.layers.size(); ++i) {
      EXPECT_EQ(back.layers[i].name, film.layers[i].name);
      for (double x = -2; x < 12; x += 0.13) {
        EXPECT_NEAR(back.layers[i].curve.density(Stops(x)).value(),
                    film.layers[i].curve.density(Stops(x)).value(), 2e-4);
      }
      EXPECT_NEAR(back.layers[i].curve.highlight_limit().value(),
                  film.layers[i].curve.highlight_limit().value(), 0.02);
    }
  }
}

TEST_F(ProfileFile, parameters_make_a_curve) {
  const FilmProfile film = read(
      "kind = 'bw'\nspeed = 125\ncontrast_uncertainty = 0.02\n"
      "[reciprocity]\nexponent = 1.26\n[[layer]]\nrise_over_1_30 = 0.7\nshoulder = 7\n");
  EXPECT_EQ(film.name, "basefog_profile");
  EXPECT_EQ(film.contrast_source, ContrastSource::profile);
  EXPECT_NEAR(film.layers[0].curve.average_gradient(), 0.7 / 1.3, 1e-5);
  EXPECT_EQ(film.reciprocity.exponent, 1.26);
}

// [KodakE4050] typed in as printed: log H in lux·s and densities with base.
TEST_F(ProfileFile, points_may_be_typed_from_a_sheet) {
  const GoldenTable table = read_golden("curves/E4050.csv");
  std::ostringstream text;
  text << "kind = 'colour'\nspeed = 392.6\n";
  for (std::size_t layer = 1; layer <= 3; ++layer) {
    text << "[[layer]]\nname = '" << std::vector{"", "red", "green", "blue"}[layer]
         << "'\npoints_log_h = [";
    double highest = 0;
    for (const auto& row : table.rows) {
      highest = std::max(highest, row[layer]);
      text << "[" << row[0] << "," << highest << "],";
    }
    text << "]\n";
  }
  const FilmProfile film = read(text.str());
  EXPECT_NEAR(film.layers[1].curve.where(film_facts::kIso5800SpeedDensity)->value(), -0.042, 0.03);
}

std::string sheet(const std::string& key, double zero, double dip) {
  const GoldenTable table = read_golden("densitometer/six_development_times.csv");
  std::ostringstream text;
  text << "speed = 100\n[[layer]]\n" << key << " = [";
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const double down = i == 2 ? dip : 0;
    text << "[" << table.rows[i][0] + zero << "," << table.rows[i][3] - down << "],";
  }
  text << "]\n";
  return text.str();
}

TEST_F(ProfileFile, a_toe_that_dips_by_less_than_it_was_digitised_is_smoothed_and_said) {
  const FilmProfile smooth = read(sheet("points_relative_log_h", 0, 0));
  const FilmProfile dips = read(sheet("points_relative_log_h", 0, 0.012));
  EXPECT_EQ(smooth.notes, "");
  EXPECT_NE(dips.notes.find("smoothed"), std::string::npos);
  for (const double stops : {0.0, 2.0, 5.0}) {
    EXPECT_NEAR(dips.layers[0].curve.density(Stops(stops)).value(),
                smooth.layers[0].curve.density(Stops(stops)).value(), 0.02);
  }
  const std::string wrong = problem(sheet("points_relative_log_h", 0, 0.2));
  EXPECT_NE(wrong.find("falls with more exposure"), std::string::npos) << wrong;
  EXPECT_NE(wrong.find("after"), std::string::npos) << wrong;
}

TEST_F(ProfileFile, a_relative_sheet_is_laid_by_its_speed_point) {
  const FilmProfile here = read(sheet("points_relative_log_h", 0, 0));
  const FilmProfile there = read(sheet("points_relative_log_h", 1.7, 0));
  EXPECT_NEAR(here.layers[0].curve.where(film_facts::kIso6SpeedDensity)->value(), 0, 1e-6);
  EXPECT_NEAR(there.layers[0].curve.density(Stops(4)).value(),
              here.layers[0].curve.density(Stops(4)).value(), 1e-9);
  EXPECT_EQ(there.notes, "");
}

TEST_F(ProfileFile, a_sheet_whose_points_have_another_speed_is_asked_about) {
  // The same sheet as if its log H were lux-seconds: off the stated ISO 100 by what it is.
  const FilmProfile film = read(sheet("points_log_h", 0, 0));
  const double off = film.layers[0].curve.where(film_facts::kIso6SpeedDensity)->value();
  ASSERT_GT(std::abs(off), 1.0 / 3);
  EXPECT_NE(film.notes.find("points_relative_log_h"), std::string::npos) << film.notes;
  const FilmProfile right = read(sheet("points_log_h", -off * kLog10PerStop, 0));
  EXPECT_EQ(right.notes, "");
}

TEST_F(ProfileFile, without_a_word_on_reciprocity_it_is_the_generic_films) {
  const std::string layer = "speed = 100\n[[layer]]\nname='silver'\n";
  EXPECT_EQ(read(layer).reciprocity.exponent,
            generic_black_and_white(FilmSpeed(100)).reciprocity.exponent);
  EXPECT_EQ(read("speed = 100\n[reciprocity]\nexponent = 1\n[[layer]]\nname='silver'\n")
                .reciprocity.exponent,
            1);
}

TEST_F(ProfileFile, errors_name_the_key) {
  const std::string layer = "[[layer]]\nname='silver'\n";
  EXPECT_NE(problem("speed = 'fast'\n" + layer).find("'speed' must be a number"),
            std::string::npos);
  EXPECT_NE(problem("kind = 'bw'\n" + layer).find("'speed' is missing"), std::string::npos);
  EXPECT_NE(problem("speed = 100\nkind = 'slide'\n" + layer).find("'kind'"), std::string::npos);
  EXPECT_NE(problem("speed = 100\ncontrast_source = 'a guess'\n" + layer)
                .find("'contrast_source' must be one of \"generic\", \"series on the roll\""),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\nsped = 1\n" + layer).find("'sped' is not a key"),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\n").find("'layer'"), std::string::npos);
  EXPECT_NE(problem("speed = 100\nkind='colour'\n" + layer).find("three times"), std::string::npos);
  EXPECT_NE(problem("speed = 100\n[[layer]]\npoints = [[0, 0.1], [1, 0.3]]\n").find("fewer than 4"),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\n[[layer]]\npoints = [[0], [1]]\n").find("layer[0].points"),
            std::string::npos);
  EXPECT_NE(
      problem("speed = 100\n[reciprocity]\ntable=[[2,1]]\n" + layer).find("reciprocity.table"),
      std::string::npos);
  EXPECT_NE(problem("speed = 100\nreciprocity = 1.31\n" + layer).find("must be a table"),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\n[reciprocity]\ntable=[[1,1],[10,inf]]\n" + layer)
                .find("reciprocity.table"),
            std::string::npos);
  const std::string points = "points = [[-1, 0.04], [0, 0.1], [2, 0.5], [4, 0.9], [8, 1.6]]\n";
  EXPECT_EQ(problem("speed = 100\n[[layer]]\n" + points), "");
  EXPECT_NE(problem("speed = 100\n[[layer]]\npoints = [[0, 0], [1, 0.5], [5, 1], [1e9, 1e9]]\n")
                .find("over 100 stops"),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\n[[layer]]\n" + points + "toe_width = 0.2\n")
                .find("'layer[0].toe_width' shapes a curve without points"),
            std::string::npos);
  EXPECT_NE(problem("speed = 100\n[[layer]]\n" + points + "base_density = 0.2\n")
                .find("'layer[0].base_density' belongs to 'points_log_h'"),
            std::string::npos);
  EXPECT_NE(problem("speed = = 100").find("is not TOML"), std::string::npos);
  EXPECT_THROW(read_film_profile("/nonexistent/profile.toml"), InputError);
}

TEST(FilmProfile, with_a_speed_that_could_not_be_read_back_is_not_written) {
  for (const double speed : {1e-300, 0.0, -100.0, 1e9, 1e300, std::nan("")}) {
    std::ostringstream text;
    EXPECT_THROW(write_film_profile(text, generic_black_and_white(FilmSpeed(speed))), InputError)
        << speed;
    EXPECT_EQ(text.str(), "");
  }
}

TEST(DensitometerTable, density_beyond_any_is_named_by_its_line) {
  const std::filesystem::path path = test::test_folder() / "steps.csv";
  std::ofstream(path) << "log_h,density\n-3,0.1\n-2,0.3\n-1,1e300\n0,1e301\n";
  try {
    read_densitometer_table(path, FilmKind::black_and_white, false);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.problem(), "line 4: '1e300' is no density");
  }
  std::filesystem::remove(path);
}

}  // namespace
}  // namespace basefog::film

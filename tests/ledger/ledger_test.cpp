// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/ledger/ledger.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>

#include <cstdlib>
#include <fstream>

#include "basefog/core/error.hpp"
#include "ledger/ledger_schema.hpp"
#include "ledger/remembered_rolls.hpp"
#include "test_folder.hpp"

namespace basefog::ledger {
namespace {

using test::expect_same;
using test::remembered;

class LedgerFile : public ::testing::Test {
 protected:
  LedgerFile() {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    path = test::test_folder() / (std::string(info->name()) + ".db");
    std::filesystem::remove(path);
  }

  /// Runs SQL on the file, past the ledger; the first value of the first row.
  std::string sql(const std::string& text) const {
    sqlite3* database = nullptr;
    sqlite3_open(path.c_str(), &database);
    std::string value;
    const auto keep = [](void* out, int, char** values, char**) {
      if (values[0] != nullptr) *static_cast<std::string*>(out) = values[0];
      return 0;
    };
    char* problem = nullptr;
    EXPECT_EQ(sqlite3_exec(database, text.c_str(), keep, &value, &problem), SQLITE_OK) << problem;
    sqlite3_free(problem);
    sqlite3_close(database);
    return value;
  }

  ErrorCode code_of_opening(Ledger::Access access) const {
    try {
      Ledger(path, access);
    } catch (const InputError& error) {
      return error.code();
    }
    ADD_FAILURE() << "opened";
    return ErrorCode::usage;
  }

  std::filesystem::path path;
};

TEST_F(LedgerFile, gives_back_what_it_was_given) {
  const meter::RememberedRoll roll = remembered("7");
  EXPECT_FALSE(Ledger(path, Ledger::Access::write).remember(roll));
  const auto rolls = Ledger(path, Ledger::Access::read).rolls();
  ASSERT_EQ(rolls.size(), 1U);
  expect_same(rolls.front(), roll);
}

TEST_F(LedgerFile, the_same_roll_again_replaces_itself) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"));
  meter::RememberedRoll again = remembered("7", "black one", 30);
  again.deviations[3].deviation = Stops(2);
  EXPECT_TRUE(ledger.remember(again));
  ASSERT_EQ(ledger.rolls().size(), 1U);
  expect_same(ledger.rolls().front(), again);
  EXPECT_EQ(sql("SELECT count(*) FROM frame"), "30");
  EXPECT_EQ(sql("SELECT count(*) FROM technique"), "4");
}

TEST_F(LedgerFile, another_roll_of_the_same_name_is_refused) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("scans"));
  meter::RememberedRoll other = remembered("another");
  other.name = "scans";
  EXPECT_THROW(ledger.remember(other), InputError);
  expect_same(ledger.rolls().at(0), remembered("scans"));
  other.camera = "other camera";
  EXPECT_FALSE(ledger.remember(other));
  EXPECT_EQ(ledger.rolls().size(), 2U);
}

TEST_F(LedgerFile, gives_the_newest_rolls_of_a_camera_and_film) {
  Ledger ledger(path, Ledger::Access::write);
  for (const char* day : {"2026-01-05", "2026-03-05T09:00:00", "2026-02-05"}) {
    meter::RememberedRoll roll = remembered(day);
    roll.date = day;
    ledger.remember(roll);
  }
  ledger.remember(remembered("other", "white one"));
  const auto names = [&](const std::string& day, int most) {
    std::vector<std::string> all;
    for (const auto& roll : ledger.newest("black one", "pan film", day, most)) {
      all.push_back(roll.name);
    }
    return all;
  };
  EXPECT_THAT(names("", 9),
              testing::ElementsAre("2026-03-05T09:00:00", "2026-02-05", "2026-01-05"));
  EXPECT_THAT(names("2026-02-05T18:00:00", 1), testing::ElementsAre("2026-02-05"));
  EXPECT_THAT(names("2025-12-31", 9), testing::IsEmpty());
}

TEST_F(LedgerFile, forgets_a_roll_with_all_its_frames) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"));
  ledger.remember(remembered("8"));
  EXPECT_FALSE(ledger.forget("9", "black one"));
  EXPECT_TRUE(ledger.forget("7", "black one"));
  ASSERT_EQ(ledger.rolls().size(), 1U);
  EXPECT_EQ(sql("SELECT count(*) FROM frame"), "36");
  EXPECT_EQ(sql("SELECT count(*) FROM shared_error WHERE frame NOT IN (SELECT id FROM frame)"),
            "0");
}

memory::KeptFilm film_of(const std::string& roll) {
  memory::KeptFilm film;
  film.lesson = {.roll = roll,
                 .camera = "black one",
                 .date = "2026-03-14T10:20:00",
                 .use = {"Harbour Pan 400",
                         "9 min; 20 \xC2\xB0"
                         "C",
                         Stops(1)},
                 .film_speed = FilmSpeed(400),
                 .form = "generic black-and-white 0123"};
  using enum film::FilmParameter;
  film::FilmEvidence& evidence = film.lesson.evidence;
  evidence.information[contrast][contrast] = 1.0 / 3;
  evidence.information[contrast][shoulder] = -1e-3;
  evidence.information[shoulder][contrast] = -1e-3;
  evidence.information[shoulder][shoulder] = 2e17;
  evidence.toward[toe] = -5e-324;
  film.of_series.information[toe][toe] = 12.5;
  film.log_contrast = -0.07;
  film.log_contrast_sigma = 0.031;
  using namespace std::string_literals;
  film.frames.push_back(
      {3, {"\0kept\xff"s, ExposureFromAim(-1.25)}, ExposureFromAim(0.5), Stops(-0.1)});
  film.frames.push_back({5, {"", {}}, ExposureFromAim(-2), Stops(1)});
  return film;
}

TEST_F(LedgerFile, gives_back_what_rolls_said_of_their_film_to_the_last_bit) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"), film_of("7"));
  ledger.remember(remembered("8"));
  EXPECT_THAT(ledger.lessons(), testing::ElementsAre(film_of("7").lesson));
  ledger.remember(remembered("7"));  // the same roll, its film not named this time
  EXPECT_THAT(ledger.lessons(), testing::IsEmpty());
  EXPECT_EQ(sql("SELECT count(*) FROM kept_frame"), "0");
  ledger.remember(remembered("7"), film_of("7"));
  ledger.forget("7", "black one");
  EXPECT_THAT(ledger.lessons(), testing::IsEmpty());
  EXPECT_EQ(sql("SELECT count(*) FROM kept_frame"), "0");
}

TEST_F(LedgerFile, gives_back_the_rolls_of_a_film_with_their_frames) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"), film_of("7"));
  EXPECT_TRUE(ledger.kept("Hill Pan 400").empty());
  const std::vector<memory::KeptRoll> kept = ledger.kept("harbour pan 400");
  ASSERT_EQ(kept.size(), 1U);
  expect_same(kept[0].roll, remembered("7"));
  const memory::KeptFilm wanted = film_of("7");
  const memory::KeptFilm& film = kept[0].film;
  EXPECT_EQ(film.lesson, wanted.lesson);
  EXPECT_EQ(film.of_series, wanted.of_series);
  EXPECT_EQ(film.log_contrast, -0.07);
  EXPECT_EQ(film.log_contrast_sigma, 0.031);
  ASSERT_EQ(film.frames.size(), 2U);
  EXPECT_EQ(film.frames[0].place, 3U);
  EXPECT_EQ(film.frames[0].frame.bytes, wanted.frames[0].frame.bytes);
  EXPECT_EQ(film.frames[0].frame.asked, ExposureFromAim(-1.25));
  EXPECT_EQ(film.frames[0].correction, Stops(-0.1));
  EXPECT_FALSE(film.frames[1].frame.asked);
  EXPECT_EQ(film.frames[1].exposure, ExposureFromAim(-2));
}

TEST_F(LedgerFile, keeps_the_curve_that_a_roll_was_read_through) {
  film::FilmProfile profile = film::generic_black_and_white(FilmSpeed(320));
  profile.name = "test of May";
  profile.speed_measured = true;
  profile.contrast_source = film::ContrastSource::film_test;
  profile.layers.front().curve = profile.layers.front().curve.with_contrast(1.15);
  memory::KeptFilm film = film_of("7");
  film.lesson.profile = std::make_shared<film::FilmProfile>(profile);
  film.lesson.form = film::fingerprint(profile);
  {
    Ledger ledger(path, Ledger::Access::write);
    ledger.remember(remembered("7"), film);
    ledger.remember(remembered("8"), film_of("8"));
  }
  const std::vector<memory::FilmLesson> lessons = Ledger(path, Ledger::Access::read).lessons();
  ASSERT_EQ(lessons.size(), 2U);
  EXPECT_EQ(lessons[1].profile, nullptr) << "a form of which nothing was given";
  ASSERT_TRUE(lessons[0].profile);
  EXPECT_EQ(film::fingerprint(*lessons[0].profile), film.lesson.form);
  EXPECT_EQ(lessons[0].profile->contrast_source, film::ContrastSource::film_test);
  EXPECT_TRUE(lessons[0].profile->speed_measured);
  EXPECT_EQ(lessons[0].profile->iso_speed, FilmSpeed(320));
}

// Before the upper part of a curve was learned, evidence had seven parameters.
TEST_F(LedgerFile, evidence_of_seven_parameters_says_nothing_of_the_eighth) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"), film_of("7"));
  sql("UPDATE film_lesson SET toward = '1 2 3 4 5 6 7', information = '10 1 0 0 0 0 0 20 0 0 0 0 "
      "0 30 0 0 0 0 40 0 0 0 50 0 0 60 0 70'");
  const std::vector<memory::FilmLesson> lessons = ledger.lessons();
  ASSERT_EQ(lessons.size(), 1U);
  using enum film::FilmParameter;
  const film::FilmEvidence& evidence = lessons[0].evidence;
  EXPECT_EQ(evidence.information[contrast][toe], 1);
  EXPECT_EQ(evidence.information[toe][toe], 20);
  EXPECT_EQ(evidence.information[blue_place][blue_place], 70);
  EXPECT_EQ(evidence.toward[blue_place], 7);
  EXPECT_EQ(evidence.information[upper_part][upper_part], 0);
  EXPECT_EQ(evidence.toward[upper_part], 0);
}

TEST_F(LedgerFile, a_lesson_that_cannot_be_is_refused_by_its_rolls_name) {
  Ledger ledger(path, Ledger::Access::write);
  ledger.remember(remembered("7"), film_of("7"));
  for (const char* damage :
       {"toward = '1 2 3'", "toward = 'nan 0 0 0 0 0 0'", "toward = '1  0 0 0 0 0 0'",
        "information = replace(information, '2e+17', '-2e+17')", "information = ''"}) {
    SCOPED_TRACE(damage);
    ledger.remember(remembered("7"), film_of("7"));
    sql(std::string("UPDATE film_lesson SET ") + damage);
    try {
      ledger.lessons();
      ADD_FAILURE() << "believed";
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed);
      EXPECT_THAT(error.what(), testing::HasSubstr("roll \"7\""));
    }
  }
}

TEST_F(LedgerFile, keeps_what_it_writes_and_lets_others_in) {
  Ledger ledger(path, Ledger::Access::write);
  EXPECT_EQ(sql("PRAGMA journal_mode"), "wal");
  EXPECT_EQ(sql("PRAGMA integrity_check"), "ok");
  EXPECT_EQ(sql("PRAGMA user_version"), std::to_string(ledger_schema_version()));
}

TEST_F(LedgerFile, one_of_the_first_form_is_brought_up_to_date_with_its_rolls) {
  {
    Ledger ledger(path, Ledger::Access::write);
    ledger.remember(remembered("7"));
  }
  // Back to the first form: no techniques yet.
  sql("DROP TABLE film_form; DROP TABLE film_lesson; DROP TABLE kept_frame; DROP TABLE "
      "shared_technique_error; "
      "ALTER TABLE frame DROP COLUMN place; "
      "ALTER TABLE roll DROP COLUMN dialled; ALTER TABLE frame DROP COLUMN scene; "
      "DROP TABLE technique; PRAGMA user_version = 1");
  Ledger ledger(path, Ledger::Access::read);
  meter::RememberedRoll wanted = remembered("7");
  wanted.techniques.clear();
  for (meter::DeviationSample& sample : wanted.deviations) sample.place.reset();
  ASSERT_EQ(ledger.rolls().size(), 1U);
  expect_same(ledger.rolls().front(), wanted);
  EXPECT_TRUE(ledger.remember(remembered("7")));
  expect_same(ledger.rolls().front(), remembered("7"));
}

TEST_F(LedgerFile, refuses_what_is_no_ledger_and_leaves_it_alone) {
  EXPECT_EQ(code_of_opening(Ledger::Access::read), ErrorCode::not_found);
  std::ofstream(path) << "frame,shutter,aperture\n1,1/60,8\n" << std::string(4096, 'x');
  EXPECT_EQ(code_of_opening(Ledger::Access::write), ErrorCode::malformed);
  std::filesystem::remove(path);
  sql("CREATE TABLE cake (flour REAL)");
  const auto bytes = [&] {
    std::ifstream in(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  const std::string before = bytes();
  EXPECT_EQ(code_of_opening(Ledger::Access::write), ErrorCode::malformed);
  EXPECT_EQ(code_of_opening(Ledger::Access::read), ErrorCode::malformed);
  EXPECT_TRUE(bytes() == before);
}

TEST_F(LedgerFile, refuses_one_from_a_later_basefog) {
  { Ledger ledger(path, Ledger::Access::write); }
  sql("PRAGMA user_version = 1000");
  EXPECT_EQ(code_of_opening(Ledger::Access::read), ErrorCode::malformed);
}

TEST_F(LedgerFile, says_where_it_may_not_write) {
  path = "/proc/nowhere/ledger.db";
  EXPECT_EQ(code_of_opening(Ledger::Access::write), ErrorCode::not_writable);
}

TEST_F(LedgerFile, values_that_cannot_be_are_refused_by_name) {
  const std::pair<const char*, const char*> faults[] = {
      {"UPDATE frame SET deviation = 9e999", "deviation"},
      {"UPDATE frame SET sigma = -0.1", "spread of a deviation"},
      {"UPDATE frame SET sigma = 9e999", "spread of a deviation"},
      {"UPDATE frame SET mode = 'by_guess'", "mode"},
      {"UPDATE frame SET shutter_seconds = 0", "shutter time"},
      {"UPDATE frame SET f_number = -9e999", "f-number"},
      {"UPDATE frame SET light_ev = 9e999", "light value"},
      {"UPDATE shared_error SET stops = -9e999", "shared error"},
      {"UPDATE shared_error SET cause = 'moon' WHERE cause = 'contrast'", "cause of error"},
      {"UPDATE technique SET technique = 9e999", "technique"},
      {"UPDATE technique SET sigma = -1", "spread of a technique"},
      {"UPDATE technique SET mode = 'by_guess'", "mode"},
      {"UPDATE roll SET film_speed = 0", "film speed"},
      {"UPDATE roll SET film_speed_sigma = -1", "spread of the film speed"}};
  for (const auto& [change, what] : faults) {
    std::filesystem::remove(path);
    Ledger(path, Ledger::Access::write).remember(remembered("7"));
    sql(change);
    Ledger ledger(path, Ledger::Access::read);
    try {
      ledger.rolls();
      ADD_FAILURE() << change << " was taken";
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed) << change;
      EXPECT_THAT(error.what(), ::testing::HasSubstr(what)) << change;
      EXPECT_THAT(error.what(), ::testing::HasSubstr("--remove")) << change;
    }
    EXPECT_TRUE(ledger.forget("7", remembered("7").camera)) << change;
    EXPECT_TRUE(ledger.rolls().empty()) << change;
  }
}

TEST(LedgerPath, is_in_the_user_s_data_folder) {
  // [XDG]: $XDG_DATA_HOME, when unset or relative $HOME/.local/share.
  setenv("HOME", "/home/someone", 1);
  setenv("XDG_DATA_HOME", "/data", 1);
  EXPECT_EQ(default_ledger_path(), "/data/basefog/ledger.db");
  setenv("XDG_DATA_HOME", "relative", 1);
  EXPECT_EQ(default_ledger_path(), "/home/someone/.local/share/basefog/ledger.db");
  unsetenv("XDG_DATA_HOME");
  EXPECT_EQ(default_ledger_path(), "/home/someone/.local/share/basefog/ledger.db");
  unsetenv("HOME");
  EXPECT_THROW(default_ledger_path(), InputError);
}

}  // namespace
}  // namespace basefog::ledger

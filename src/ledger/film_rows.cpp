// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/film_rows.hpp"

#include <map>
#include <memory>
#include <sstream>
#include <string>
#include <utility>

#include "basefog/film/film_profile.hpp"
#include "ledger/check.hpp"
#include "ledger/evidence_text.hpp"

namespace basefog::ledger {
namespace {

/// Keeps a form that is not the program's own, where what is kept is read back as the same.
void write_form(Database& database, const memory::FilmLesson& lesson) {
  if (!lesson.profile || film::generic_form(lesson.form)) return;
  std::ostringstream text;
  film::write_film_profile(text, *lesson.profile);
  if (film::fingerprint(film::film_profile_of(text.str(), database.path())) != lesson.form) return;
  Statement statement(database, "INSERT OR REPLACE INTO film_form (form, profile) VALUES (?, ?)");
  statement.bind(0, lesson.form);
  statement.bind(1, text.str());
  statement.run();
}

using Forms = std::map<std::string, std::shared_ptr<const film::FilmProfile>>;

/// Those that were kept.
Forms read_forms(const Database& database) {
  Statement statement(database, "SELECT form, profile FROM film_form");
  Forms forms;
  while (statement.step()) {
    forms[statement.text(0)] = std::make_shared<film::FilmProfile>(
        film::film_profile_of(statement.text(1), database.path()));
  }
  return forms;
}

/// A form that was kept, or that of a generic film; nothing for others.
std::shared_ptr<const film::FilmProfile> form_of(Forms& forms, const std::string& form) {
  const auto [entry, is_new] = forms.try_emplace(form);
  if (is_new) {
    if (auto generic = film::generic_form(form)) {
      entry->second = std::make_shared<film::FilmProfile>(*std::move(generic));
    }
  }
  return entry->second;
}

}  // namespace

void write_film(Database& database, std::int64_t roll, const memory::KeptFilm& film) {
  const memory::FilmLesson& lesson = film.lesson;
  write_form(database, lesson);
  Statement statement(database,
                      "INSERT INTO film_lesson (roll, film, developed, push, form, information, "
                      "toward, series_information, series_toward, aim_k, aim_q, log_contrast, "
                      "log_contrast_sigma) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  statement.bind(0, roll);
  statement.bind(1, lesson.use.film);
  statement.bind(2, lesson.use.developed);
  statement.bind(3, lesson.use.push.value());
  statement.bind(4, lesson.form);
  statement.bind(5, triangle_text(lesson.evidence.information));
  statement.bind(6, numbers_text(lesson.evidence.toward));
  statement.bind(7, triangle_text(film.of_series.information));
  statement.bind(8, numbers_text(film.of_series.toward));
  statement.bind(9, film.aim_k);
  statement.bind(10, film.aim_q);
  statement.bind(11, film.log_contrast);
  statement.bind(12, film.log_contrast_sigma);
  statement.run();
  Statement frames(database,
                   "INSERT INTO kept_frame (roll, place, bytes, asked, exposure, correction) "
                   "VALUES (?, ?, ?, ?, ?, ?)");
  for (const memory::KeptFrame& frame : film.frames) {
    frames.bind(0, roll);
    frames.bind(1, static_cast<std::int64_t>(frame.place));
    frames.bind_bytes(2, frame.frame.bytes);
    frames.bind(3, frame.frame.asked ? std::optional(frame.frame.asked->value()) : std::nullopt);
    frames.bind(4, frame.exposure.value());
    frames.bind(5, frame.correction.value());
    frames.run();
  }
}

std::vector<memory::FilmLesson> read_lessons(const Database& database) {
  Statement statement(database,
                      "SELECT name, camera, date, film_lesson.film, developed, push, form, "
                      "information, toward, film_speed FROM film_lesson JOIN roll ON roll.id = "
                      "roll ORDER BY date, name");
  Forms forms = read_forms(database);
  std::vector<memory::FilmLesson> all;
  while (statement.step()) {
    memory::FilmLesson lesson{.roll = statement.text(0),
                              .camera = statement.text(1),
                              .date = statement.text(2),
                              .use = {.film = statement.text(3), .developed = statement.text(4)},
                              .form = statement.text(6)};
    const Check check(database.path(), lesson.roll);
    lesson.use.push = check.stops("push", statement.number(5));
    if (!read_evidence(statement.text(7), statement.text(8), lesson.evidence)) {
      check.refuse("lesson on a film");
    }
    lesson.film_speed = FilmSpeed(check.size("film speed", statement.number(9)));
    lesson.profile = form_of(forms, lesson.form);
    all.push_back(std::move(lesson));
  }
  return all;
}

memory::KeptFilm read_film(const Database& database, std::int64_t roll,
                           const memory::FilmLesson& lesson) {
  const Check check(database.path(), lesson.roll);
  memory::KeptFilm film{.lesson = lesson};
  Statement statement(database,
                      "SELECT series_information, series_toward, aim_k, aim_q, log_contrast, "
                      "log_contrast_sigma FROM film_lesson WHERE roll = ?");
  statement.bind(0, roll);
  if (!statement.step()) return film;
  if (!read_evidence(statement.text(0), statement.text(1), film.of_series)) {
    check.refuse("lesson of a series");
  }
  film.aim_k = check.size("meter constant", statement.number(2));
  film.aim_q = check.size("lens factor", statement.number(3));
  film.log_contrast = check.finite("contrast", statement.number(4));
  film.log_contrast_sigma = check.spread("spread of a contrast", statement.number(5));
  Statement frames(database,
                   "SELECT place, bytes, asked, exposure, correction FROM kept_frame WHERE roll = "
                   "? ORDER BY place");
  frames.bind(0, roll);
  while (frames.step()) {
    memory::KeptFrame frame{.place = *check.place(frames.number(0)), .frame = {frames.text(1), {}}};
    if (const auto asked = frames.optional_number(2)) {
      frame.frame.asked = ExposureFromAim(check.finite("exposure asked for", *asked));
    }
    frame.exposure = ExposureFromAim(check.finite("exposure", frames.number(3)));
    frame.correction = check.stops("correction", frames.number(4));
    film.frames.push_back(std::move(frame));
  }
  return film;
}

}  // namespace basefog::ledger

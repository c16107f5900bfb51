// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/film_rows.hpp"

#include <utility>

#include "ledger/check.hpp"
#include "ledger/evidence_text.hpp"

namespace basefog::ledger {

void write_film(Database& database, std::int64_t roll, const memory::KeptFilm& film) {
  const memory::FilmLesson& lesson = film.lesson;
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

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/ledger_schema.hpp"

#include <array>
#include <string>

#include "basefog/core/error.hpp"

namespace basefog::ledger {
namespace {

/// "bfog", so that other databases are not taken for ledgers.
constexpr std::int64_t kApplicationId = 0x62666f67;

/// Step k leads from form k to form k + 1. Never changed once released: add a step instead.
/// Stops, seconds, EV at ISO 100; what was not known is null.
constexpr auto kSteps = std::to_array<const char*>({
    // 1: rolls and the deviations of their frames
    R"(
    CREATE TABLE roll (
      id INTEGER PRIMARY KEY,
      name TEXT NOT NULL,
      camera TEXT NOT NULL,
      film TEXT NOT NULL,
      film_speed REAL NOT NULL,
      date TEXT NOT NULL,
      battery TEXT NOT NULL,
      film_speed_sigma REAL,
      remembered TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
      UNIQUE (camera, name)
    ) STRICT;
    CREATE TABLE frame (
      id INTEGER PRIMARY KEY,
      roll INTEGER NOT NULL REFERENCES roll ON DELETE CASCADE,
      label TEXT NOT NULL,
      deviation REAL NOT NULL,
      sigma REAL NOT NULL,
      shutter_seconds REAL,
      f_number REAL,
      lens TEXT NOT NULL,
      mode TEXT NOT NULL,
      request_logged INTEGER NOT NULL,
      light_ev REAL
    ) STRICT;
    CREATE INDEX frame_of_roll ON frame (roll);
    CREATE TABLE shared_error (
      frame INTEGER NOT NULL REFERENCES frame ON DELETE CASCADE,
      cause TEXT NOT NULL,
      stops REAL NOT NULL,
      PRIMARY KEY (frame, cause)
    ) STRICT, WITHOUT ROWID;
    )",
    // 2: technique by scene
    R"(
    CREATE TABLE technique (
      id INTEGER PRIMARY KEY,
      roll INTEGER NOT NULL REFERENCES roll ON DELETE CASCADE,
      scene TEXT NOT NULL,
      mode TEXT NOT NULL,
      technique REAL NOT NULL,
      asked REAL NOT NULL,
      sigma REAL NOT NULL
    ) STRICT;
    CREATE INDEX technique_of_roll ON technique (roll);
    )",
    // 3: what plans for the next roll need
    R"(
    ALTER TABLE roll ADD COLUMN dialled REAL;
    ALTER TABLE frame ADD COLUMN scene TEXT NOT NULL DEFAULT '';
    )",
    // 4: what rolls say of their film (evidence: the upper triangle of a matrix, row by row, and a
    // vector, in the order of FilmParameter), and their frames, so that they can be read again
    R"(
    CREATE TABLE film_lesson (
      roll INTEGER PRIMARY KEY REFERENCES roll ON DELETE CASCADE,
      film TEXT NOT NULL,
      developed TEXT NOT NULL,
      push REAL NOT NULL CHECK (push BETWEEN -10 AND 10),
      form TEXT NOT NULL,
      information TEXT NOT NULL,
      toward TEXT NOT NULL,
      series_information TEXT NOT NULL,
      series_toward TEXT NOT NULL,
      aim_k REAL NOT NULL CHECK (aim_k > 0),
      aim_q REAL NOT NULL CHECK (aim_q > 0),
      log_contrast REAL NOT NULL CHECK (abs(log_contrast) < 10),
      log_contrast_sigma REAL NOT NULL CHECK (log_contrast_sigma BETWEEN 0 AND 10)
    ) STRICT;
    CREATE TABLE kept_frame (
      roll INTEGER NOT NULL REFERENCES roll ON DELETE CASCADE,
      place INTEGER NOT NULL CHECK (place >= 0),
      bytes BLOB NOT NULL,
      asked REAL CHECK (abs(asked) < 100),
      exposure REAL NOT NULL CHECK (abs(exposure) < 100),
      correction REAL NOT NULL CHECK (abs(correction) < 100),
      PRIMARY KEY (roll, place)
    ) STRICT;
    ALTER TABLE frame ADD COLUMN place INTEGER CHECK (place >= 0);
    ALTER TABLE technique ADD COLUMN place INTEGER CHECK (place >= 0);
    CREATE TABLE shared_technique_error (
      technique INTEGER NOT NULL REFERENCES technique ON DELETE CASCADE,
      cause TEXT NOT NULL,
      stops REAL NOT NULL,
      PRIMARY KEY (technique, cause)
    ) STRICT, WITHOUT ROWID;
    )",
    // 5: the profiles of films that rolls were read through, as their files have them; evidence
    // may have the curve's upper part as an eighth parameter
    R"(
    CREATE TABLE film_form (
      form TEXT PRIMARY KEY,
      profile TEXT NOT NULL
    ) STRICT, WITHOUT ROWID;
    )",
});

std::int64_t pragma(const Database& database, const char* sql) {
  Statement statement(database, sql);
  return statement.step() ? statement.integer(0) : 0;
}

[[noreturn]] void refuse(const Database& database, const std::string& problem) {
  throw InputError(ErrorCode::malformed, database.path(), problem, "name another with --ledger");
}

}  // namespace

int ledger_schema_version() { return static_cast<int>(kSteps.size()); }

void bring_up_to_date(Database& database) {
  const auto is_foreign = [&] {
    return pragma(database, "SELECT count(*) FROM sqlite_schema") != 0 &&
           pragma(database, "PRAGMA application_id") != kApplicationId;
  };
  // Before anything is written into it.
  if (is_foreign()) refuse(database, "is a database of another program");
  database.write_ahead();
  const auto version = [&] { return pragma(database, "PRAGMA user_version"); };
  if (version() == ledger_schema_version() &&
      pragma(database, "PRAGMA application_id") == kApplicationId) {
    return;
  }
  // Another program may be about the same: who comes second finds it done.
  Transaction transaction(database);
  const std::int64_t found = version();
  if (is_foreign()) refuse(database, "is a database of another program");
  if (found > ledger_schema_version()) {
    refuse(database, "was written by a later version of basefog");
  }
  for (auto step = static_cast<std::size_t>(found); step < kSteps.size(); ++step) {
    database.run(kSteps.at(step));
  }
  database.run("PRAGMA application_id = " + std::to_string(kApplicationId));
  database.run("PRAGMA user_version = " + std::to_string(kSteps.size()));
  transaction.commit();
}

}  // namespace basefog::ledger

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/ledger/ledger.hpp"

#include <array>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string_view>

#include "basefog/core/error.hpp"
#include "core/name_list.hpp"
#include "ledger/check.hpp"
#include "ledger/database.hpp"
#include "ledger/film_rows.hpp"
#include "ledger/ledger_schema.hpp"

namespace basefog::ledger {
namespace fs = std::filesystem;
namespace {

/// Beside the names of ErrorCause.
constexpr std::string_view kReciprocity = "reciprocity";

std::string mode_text(const std::optional<log::ExposureMode>& mode) {
  return mode ? std::string(name_of(*mode)) : "";
}

/// Makes what is missing of a file's folders, the last for its owner alone.
void make_folder(const fs::path& file) {
  const fs::path folder = file.parent_path();
  std::error_code error;
  if (folder.empty() || fs::exists(folder, error)) return;
  fs::create_directories(folder, error);
  if (error) {
    throw InputError(ErrorCode::not_writable, folder, "cannot be made: " + error.message(),
                     "name another ledger with --ledger");
  }
  fs::permissions(folder, fs::perms::owner_all, error);
}

Database::Mode mode_for(const fs::path& path, Ledger::Access access) {
  if (access == Ledger::Access::read) {
    std::error_code error;
    const bool there = fs::exists(path, error);
    if (error) {
      throw InputError(ErrorCode::unreadable, path, "cannot be reached: " + error.message(),
                       "check the permissions of its folders, or name another with --ledger");
    }
    if (!there) {
      throw InputError(ErrorCode::not_found, path, "no rolls have been remembered there",
                       "run basefog review with --remember first");
    }
    return Database::Mode::read_write;
  }
  make_folder(path);
  return Database::Mode::make;
}

}  // namespace

class Ledger::Store {
 public:
  Store(const fs::path& path, Access access) : database_(path, mode_for(path, access)) {
    bring_up_to_date(database_);
  }

  bool remember(const meter::RememberedRoll& roll, const std::optional<memory::KeptFilm>& film) {
    Transaction transaction(database_);
    const std::optional<std::int64_t> before = find(roll.name, roll.camera);
    if (before) {
      if (!meter::is_same_roll(roll, read(*before))) {
        throw InputError(ErrorCode::usage, database_.path(),
                         "keeps another roll under the name \"" + roll.name + "\"",
                         "give this one a name of its own with --roll NAME, or remove the other "
                         "with basefog ledger --remove");
      }
      remove(*before);
    }
    const std::int64_t id = write(roll);
    if (film) write_film(database_, id, *film);
    transaction.commit();
    return before.has_value();
  }

  bool forget(const std::string& name, const std::string& camera) {
    Transaction transaction(database_);
    const std::optional<std::int64_t> found = find(name, camera);
    if (found) remove(*found);
    transaction.commit();
    return found.has_value();
  }

  std::vector<meter::RememberedRoll> rolls() {
    Statement ids(database_, "SELECT id FROM roll ORDER BY camera, date, name");
    return read_all(ids);
  }

  std::vector<meter::RememberedRoll> newest(const std::string& camera, const std::string& film,
                                            const std::string& day, int most) {
    Statement ids(database_,
                  "SELECT id FROM roll WHERE camera = ?1 AND film = ?2 AND (?3 = '' OR "
                  "substr(date, 1, 10) <= substr(?3, 1, 10)) ORDER BY date DESC, name LIMIT ?4");
    ids.bind(0, camera);
    ids.bind(1, film);
    ids.bind(2, day);
    ids.bind(3, std::int64_t{most});
    return read_all(ids);
  }

  std::vector<memory::FilmLesson> lessons() { return read_lessons(database_); }

  std::vector<memory::KeptRoll> kept(const std::string& film) {
    std::vector<memory::KeptRoll> all;
    for (const memory::FilmLesson& lesson : lessons()) {
      if (!memory::is_same_film(lesson.use.film, film)) continue;
      if (const auto id = find(lesson.roll, lesson.camera)) {
        all.push_back({read(*id), read_film(database_, *id, lesson)});
      }
    }
    return all;
  }

 private:
  /// The rolls that a statement names, in one view of all tables, whatever another program writes
  /// meanwhile.
  std::vector<meter::RememberedRoll> read_all(Statement& ids) {
    database_.run("BEGIN");
    std::vector<meter::RememberedRoll> all;
    try {
      while (ids.step()) all.push_back(read(ids.integer(0)));
    } catch (...) {
      database_.run("ROLLBACK");
      throw;
    }
    database_.run("COMMIT");
    return all;
  }

  std::optional<std::int64_t> find(const std::string& name, const std::string& camera) {
    Statement statement(database_, "SELECT id FROM roll WHERE name = ? AND camera = ?");
    statement.bind(0, name);
    statement.bind(1, camera);
    return statement.step() ? std::optional(statement.integer(0)) : std::nullopt;
  }

  void remove(std::int64_t id) {
    Statement statement(database_, "DELETE FROM roll WHERE id = ?");
    statement.bind(0, id);
    statement.run();
  }

  std::int64_t write(const meter::RememberedRoll& roll) {
    Statement statement(database_,
                        "INSERT INTO roll (name, camera, film, film_speed, date, battery, "
                        "film_speed_sigma, dialled) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    statement.bind(0, roll.name);
    statement.bind(1, roll.camera);
    statement.bind(2, roll.film);
    statement.bind(3, roll.film_speed.iso());
    statement.bind(4, roll.date);
    statement.bind(5, roll.battery);
    statement.bind(6, roll.film_speed_sigma);
    statement.bind(7, roll.dialled ? std::optional(roll.dialled->iso()) : std::nullopt);
    statement.run();
    const std::int64_t id = database_.last_row();
    write_frames(id, roll);
    write_techniques(id, roll);
    return id;
  }

  void write_frames(std::int64_t roll, const meter::RememberedRoll& remembered) {
    Statement frame(database_,
                    "INSERT INTO frame (roll, label, deviation, sigma, shutter_seconds, f_number, "
                    "lens, mode, request_logged, light_ev, scene, place) "
                    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    Statement shared(database_, "INSERT INTO shared_error (frame, cause, stops) VALUES (?, ?, ?)");
    for (const meter::DeviationSample& sample : remembered.deviations) {
      frame.bind(0, roll);
      frame.bind(1, sample.frame);
      frame.bind(2, sample.deviation.value());
      frame.bind(3, sample.sigma);
      frame.bind(4, sample.shutter ? std::optional(sample.shutter->seconds()) : std::nullopt);
      frame.bind(5, sample.aperture ? std::optional(sample.aperture->value()) : std::nullopt);
      frame.bind(6, sample.lens);
      frame.bind(7, mode_text(sample.mode));
      frame.bind(8, std::int64_t{sample.request_logged});
      frame.bind(9, sample.light_ev);
      frame.bind(10, sample.scene);
      frame.bind(11, as_number(sample.place));
      frame.run();
      const std::int64_t id = database_.last_row();
      write_shared(shared, id, sample.shared);
      if (sample.reciprocity != Stops(0)) {
        shared.bind(0, id);
        shared.bind(1, std::string(kReciprocity));
        shared.bind(2, sample.reciprocity.value());
        shared.run();
      }
    }
  }

  static std::optional<double> as_number(const std::optional<std::size_t>& place) {
    return place ? std::optional(static_cast<double>(*place)) : std::nullopt;
  }

  static void write_shared(Statement& to, std::int64_t id, const reading::ErrorBudget& shared) {
    for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
      if (shared[cause] == 0) continue;
      to.bind(0, id);
      to.bind(1, std::string(name_of(cause)));
      to.bind(2, shared[cause]);
      to.run();
    }
  }

  void write_techniques(std::int64_t roll, const meter::RememberedRoll& remembered) {
    Statement statement(database_,
                        "INSERT INTO technique (roll, scene, mode, technique, asked, sigma, place) "
                        "VALUES (?, ?, ?, ?, ?, ?, ?)");
    Statement shared(
        database_, "INSERT INTO shared_technique_error (technique, cause, stops) VALUES (?, ?, ?)");
    for (const meter::TechniqueSample& sample : remembered.techniques) {
      statement.bind(0, roll);
      statement.bind(1, sample.scene);
      statement.bind(2, mode_text(sample.mode));
      statement.bind(3, sample.technique.value());
      statement.bind(4, sample.asked.value());
      statement.bind(5, sample.sigma);
      statement.bind(6, as_number(sample.place));
      statement.run();
      write_shared(shared, database_.last_row(), sample.shared);
    }
  }

  meter::RememberedRoll read(std::int64_t id) {
    Statement statement(database_,
                        "SELECT name, camera, film, film_speed, date, battery, film_speed_sigma, "
                        "dialled FROM roll WHERE id = ?");
    statement.bind(0, id);
    meter::RememberedRoll roll;
    if (!statement.step()) return roll;
    roll.name = statement.text(0);
    roll.camera = statement.text(1);
    roll.film = statement.text(2);
    const Check check(database_.path(), roll.name);
    roll.film_speed = FilmSpeed(check.size("film speed", statement.number(3)));
    roll.date = statement.text(4);
    roll.battery = statement.text(5);
    roll.film_speed_sigma = statement.optional_number(6);
    if (roll.film_speed_sigma) check.spread("spread of the film speed", *roll.film_speed_sigma);
    if (const auto dialled = statement.optional_number(7)) {
      roll.dialled = FilmSpeed(check.size("dialled film speed", *dialled));
    }
    read_frames(id, check, roll);
    read_techniques(id, check, roll);
    return roll;
  }

  void read_frames(std::int64_t id, const Check& check, meter::RememberedRoll& roll) {
    Statement frames(
        database_,
        "SELECT id, label, deviation, sigma, shutter_seconds, f_number, lens, mode, "
        "request_logged, light_ev, scene, place FROM frame WHERE roll = ? ORDER BY id");
    Statement shared(database_, "SELECT cause, stops FROM shared_error WHERE frame = ?");
    frames.bind(0, id);
    while (frames.step()) {
      meter::DeviationSample sample;
      sample.frame = frames.text(1);
      sample.deviation = check.stops("deviation", frames.number(2));
      sample.sigma = check.spread("spread of a deviation", frames.number(3));
      if (const auto seconds = frames.optional_number(4)) {
        sample.shutter = ShutterTime(check.size("shutter time", *seconds));
      }
      if (const auto n = frames.optional_number(5)) {
        sample.aperture = FNumber(check.size("f-number", *n));
      }
      sample.lens = frames.text(6);
      sample.mode = check.mode(frames.text(7));
      sample.request_logged = frames.integer(8) != 0;
      sample.light_ev = frames.optional_number(9);
      if (sample.light_ev) check.finite("light value", *sample.light_ev);
      sample.scene = frames.text(10);
      sample.place = check.place(frames.optional_number(11));
      shared.bind(0, frames.integer(0));
      while (shared.step()) {
        const double stops = check.finite("shared error", shared.number(1));
        if (shared.text(0) == kReciprocity) {
          sample.reciprocity = Stops(stops);
        } else if (const auto cause = named<reading::ErrorCause>(shared.text(0))) {
          sample.shared[*cause] = stops;
        } else {
          check.refuse("cause of error");
        }
      }
      shared.reset();
      roll.deviations.push_back(std::move(sample));
    }
  }

  void read_techniques(std::int64_t id, const Check& check, meter::RememberedRoll& roll) {
    Statement statement(
        database_,
        "SELECT scene, mode, technique, asked, sigma, place, id FROM technique WHERE "
        "roll = ? ORDER BY id");
    Statement shared(database_,
                     "SELECT cause, stops FROM shared_technique_error WHERE technique = ?");
    statement.bind(0, id);
    while (statement.step()) {
      meter::TechniqueSample sample;
      sample.scene = statement.text(0);
      sample.mode = check.mode(statement.text(1));
      sample.technique = check.stops("technique", statement.number(2));
      sample.asked = check.stops("compensation", statement.number(3));
      sample.sigma = check.spread("spread of a technique", statement.number(4));
      sample.place = check.place(statement.optional_number(5));
      shared.bind(0, statement.integer(6));
      while (shared.step()) {
        const auto cause = named<reading::ErrorCause>(shared.text(0));
        if (!cause) check.refuse("cause of error");
        sample.shared[*cause] = check.finite("shared error", shared.number(1));
      }
      shared.reset();
      roll.techniques.push_back(std::move(sample));
    }
  }

  Database database_;
};

fs::path default_ledger_path() {
  const auto folder = [](const char* variable) -> fs::path {
    const char* value = std::getenv(variable);
    // Relative paths there are to be ignored [XDG].
    return value != nullptr && fs::path(value).is_absolute() ? fs::path(value) : fs::path();
  };
  fs::path data = folder("XDG_DATA_HOME");
  if (data.empty()) data = folder("HOME");
  if (data.empty()) {
    throw InputError(ErrorCode::usage, "--ledger", "is needed, for HOME is not set",
                     "name the ledger's file");
  }
  if (folder("XDG_DATA_HOME").empty()) data /= fs::path(".local") / "share";
  return data / "basefog" / "ledger.db";
}

Ledger::Ledger(const fs::path& path, Access access)
    : store_(std::make_unique<Store>(path, access)) {}
Ledger::Ledger(Ledger&&) noexcept = default;
Ledger& Ledger::operator=(Ledger&&) noexcept = default;
Ledger::~Ledger() = default;

bool Ledger::remember(const meter::RememberedRoll& roll,
                      const std::optional<memory::KeptFilm>& film) {
  return store_->remember(roll, film);
}
bool Ledger::forget(const std::string& name, const std::string& camera) {
  return store_->forget(name, camera);
}
std::vector<meter::RememberedRoll> Ledger::rolls() const { return store_->rolls(); }
std::vector<meter::RememberedRoll> Ledger::newest(const std::string& camera,
                                                  const std::string& film, const std::string& day,
                                                  int most) const {
  return store_->newest(camera, film, day, most);
}
std::vector<memory::FilmLesson> Ledger::lessons() const { return store_->lessons(); }
std::vector<memory::KeptRoll> Ledger::kept(const std::string& film) const {
  return store_->kept(film);
}

}  // namespace basefog::ledger

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/database.hpp"

#include <sqlite3.h>

#include <chrono>
#include <thread>

#include "basefog/core/error.hpp"

namespace basefog::ledger {
namespace {

constexpr int kWaitMilliseconds = 20000;

}  // namespace

Database::Database(const std::filesystem::path& path, Mode mode) : path_(path) {
  const int flags = SQLITE_OPEN_READWRITE | (mode == Mode::make ? SQLITE_OPEN_CREATE : 0);
  if (const int result = sqlite3_open_v2(path.c_str(), &handle_, flags, nullptr);
      result != SQLITE_OK) {
    sqlite3_close(handle_);
    handle_ = nullptr;
    throw InputError(mode == Mode::make ? ErrorCode::not_writable : ErrorCode::unreadable, path,
                     std::string("cannot be opened as a ledger: ") + sqlite3_errstr(result),
                     "check the folder and its permissions, or name another with --ledger");
  }
  try {
    sqlite3_busy_timeout(handle_, kWaitMilliseconds);
    // The first statement reads the file: a file of another kind shows here.
    run("PRAGMA foreign_keys = ON");
    run("PRAGMA trusted_schema = OFF");
    // The default of many builds, NORMAL, may lose the last commits of write-ahead mode when the
    // power fails.
    run("PRAGMA synchronous = FULL");
  } catch (...) {
    sqlite3_close(handle_);
    throw;
  }
}

Database::~Database() { sqlite3_close(handle_); }

void Database::run(const std::string& sql) {
  if (const int result = sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr);
      result != SQLITE_OK) {
    fail(result);
  }
}

void Database::write_ahead() {
  // A change of mode does not wait for others by itself, lest two that change it wait for each
  // other: of programs that make one ledger at once all but the first would give up.
  constexpr std::chrono::milliseconds kPause{5};
  const auto end = std::chrono::steady_clock::now() + std::chrono::milliseconds(kWaitMilliseconds);
  int result = SQLITE_OK;
  while (true) {
    result = sqlite3_exec(handle_, "PRAGMA journal_mode = WAL", nullptr, nullptr, nullptr);
    if ((result & 0xff) != SQLITE_BUSY || std::chrono::steady_clock::now() > end) break;
    std::this_thread::sleep_for(kPause);
  }
  if (result != SQLITE_OK) fail(result);
}

std::int64_t Database::last_row() const { return sqlite3_last_insert_rowid(handle_); }

void Database::fail(int result) const {
  switch (result & 0xff) {
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
      throw InputError(ErrorCode::malformed, path_, "is not a ledger, or is damaged",
                       "name another with --ledger, or restore it from a copy");
    case SQLITE_FULL:
      throw InputError(ErrorCode::not_writable, path_,
                       "could not be written, the disk is full; the ledger is as it was",
                       "make room and run the command again");
    case SQLITE_IOERR:
      throw InputError(ErrorCode::not_writable, path_,
                       "could not be written or read, the disk may be full or failing; the ledger "
                       "is as it was",
                       "make room and run the command again");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw InputError(ErrorCode::not_writable, path_, "is in use by another program",
                       "wait for it to end and run the command again");
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
      throw InputError(ErrorCode::not_writable, path_, "may not be written",
                       "check its permissions and its folder's, or name another with --ledger");
    default:
      throw InputError(ErrorCode::unreadable, path_,
                       std::string("cannot be used as a ledger: ") + sqlite3_errmsg(handle_),
                       "name another with --ledger");
  }
}

Statement::Statement(const Database& database, std::string_view sql) : database_(database) {
  check(sqlite3_prepare_v2(database.handle_, sql.data(), static_cast<int>(sql.size()), &handle_,
                           nullptr));
}

Statement::~Statement() { sqlite3_finalize(handle_); }

void Statement::check(int result) {
  if (result != SQLITE_OK) database_.fail(result);
}

void Statement::bind(int parameter, const std::string& text) {
  check(sqlite3_bind_text(handle_, parameter + 1, text.c_str(), static_cast<int>(text.size()),
                          SQLITE_TRANSIENT));
}
void Statement::bind_bytes(int parameter, const std::string& bytes) {
  check(sqlite3_bind_blob(handle_, parameter + 1, bytes.data(), static_cast<int>(bytes.size()),
                          SQLITE_TRANSIENT));
}
void Statement::bind(int parameter, double value) {
  check(sqlite3_bind_double(handle_, parameter + 1, value));
}
void Statement::bind(int parameter, std::int64_t value) {
  check(sqlite3_bind_int64(handle_, parameter + 1, value));
}
void Statement::bind(int parameter, const std::optional<double>& value) {
  check(value ? sqlite3_bind_double(handle_, parameter + 1, *value)
              : sqlite3_bind_null(handle_, parameter + 1));
}

bool Statement::step() {
  const int result = sqlite3_step(handle_);
  if (result == SQLITE_ROW) return true;
  if (result != SQLITE_DONE) database_.fail(result);
  return false;
}

void Statement::run() {
  while (step()) {
  }
  reset();
}

void Statement::reset() { check(sqlite3_reset(handle_)); }

std::string Statement::text(int column) const {
  const void* bytes = sqlite3_column_blob(handle_, column);
  if (bytes == nullptr) return "";
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(handle_, column));
  return {static_cast<const char*>(bytes), size};
}

double Statement::number(int column) const { return sqlite3_column_double(handle_, column); }

std::optional<double> Statement::optional_number(int column) const {
  if (sqlite3_column_type(handle_, column) == SQLITE_NULL) return std::nullopt;
  return number(column);
}

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(handle_, column); }

Transaction::Transaction(Database& database) : database_(database) {
  database_.run("BEGIN IMMEDIATE");
}

Transaction::~Transaction() {
  if (!open_) return;
  try {
    database_.run("ROLLBACK");
  } catch (...) {
    // SQLite has undone it by itself already, as after a full disk.
  }
}

void Transaction::commit() {
  database_.run("COMMIT");
  open_ = false;
}

}  // namespace basefog::ledger

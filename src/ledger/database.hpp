// SPDX-License-Identifier: GPL-3.0-or-later
// A thin layer over SQLite: connection, statement, transaction; errors as InputError.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace basefog::ledger {

/// One connection; one thread at a time.
class Database {
 public:
  enum class Mode { read_write, make };

  /// Opens with the pragmas that keep what is written: write-ahead log, full synchronisation,
  /// foreign keys, a wait for other writers. Throws InputError.
  Database(const std::filesystem::path& path, Mode mode);
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;
  ~Database();

  /// Runs statements that give no rows.
  void run(const std::string& sql);
  /// Commits go to a file beside it first. Writes to the file, so that it must be known as a
  /// ledger.
  void write_ahead();
  std::int64_t last_row() const;
  const std::filesystem::path& path() const { return path_; }

  /// Throws what an SQLite result means to the user. Never returns.
  [[noreturn]] void fail(int result) const;

 private:
  friend class Statement;
  std::filesystem::path path_;
  sqlite3* handle_ = nullptr;
};

/// A prepared statement. Parameters and columns count from 0.
class Statement {
 public:
  Statement(const Database& database, std::string_view sql);
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;
  ~Statement();

  void bind(int parameter, const std::string& text);
  void bind_bytes(int parameter, const std::string& bytes);
  void bind(int parameter, double value);
  void bind(int parameter, std::int64_t value);
  void bind(int parameter, const std::optional<double>& value);

  /// The next row: false after the last.
  bool step();
  /// Runs to the end and makes the statement ready for other values.
  void run();
  void reset();

  std::string text(int column) const;  ///< of bytes too
  double number(int column) const;
  std::optional<double> optional_number(int column) const;
  std::int64_t integer(int column) const;

 private:
  void check(int result);
  const Database& database_;
  sqlite3_stmt* handle_ = nullptr;
};

/// All or nothing: undone unless committed.
class Transaction {
 public:
  /// Takes the write lock at its start, so that two writers never wait for each other.
  explicit Transaction(Database& database);
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  ~Transaction();
  void commit();

 private:
  Database& database_;
  bool open_ = true;
};

}  // namespace basefog::ledger

// SPDX-License-Identifier: GPL-3.0-or-later
// What a person wrote of a roll at the desk: the log, which picture has which row, and answers.
#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace basefog::desk {

/// A frame on a scan, as names of files and places on them stay when scans are added.
struct Picture {
  std::string file;  ///< its name, without the folder
  int index = 0;     ///< place on the scan, from 0
  friend auto operator<=>(const Picture&, const Picture&) = default;
};

struct SheetRow {
  int id = 0;  ///< stays the row's own while rows come and go around it
  std::vector<std::string> cells;
  friend bool operator==(const SheetRow&, const SheetRow&) = default;
};

/// "film: ISO 400", of the whole roll.
struct Fact {
  std::string name;
  std::string text;
  friend bool operator==(const Fact&, const Fact&) = default;
};

/// What a person said of a picture: its row, or that it has none.
struct FixedRow {
  Picture picture;
  std::optional<int> row;  ///< id
  friend bool operator==(const FixedRow&, const FixedRow&) = default;
};

struct Sheet {
  std::vector<Fact> facts;
  std::vector<std::string> columns;
  std::vector<SheetRow> rows;
  std::vector<FixedRow> fixed;
  std::map<std::string, std::string> settings;  ///< of the roll's own settings file, by key
  friend bool operator==(const Sheet&, const Sheet&) = default;
};

/// The columns of a notebook and no row.
Sheet empty_sheet();

/// Brings a sheet from anywhere within bounds: cells on one line without control characters, as
/// many as there are columns, ids and fixed pictures once, fixed rows that are there. Nothing where
/// it is larger than any roll's.
std::optional<Sheet> checked(Sheet sheet);

/// A text as a log's rows, cell by cell, in the columns that it names; nothing where none of its
/// lines names columns and its values leave in doubt what they are, or where it is no text.
std::optional<Sheet> sheet_of(std::string_view text);

/// The log as a file.
struct WrittenLog {
  std::string text;  ///< separated values, UTF-8
  char separator = ',';
  std::map<int, int> row_on;  ///< id of the row on each line of the file, from 1
};
WrittenLog write_log(const Sheet& sheet);

/// The sheet as JSON, and back; nothing where the text is none.
std::string sheet_text(const Sheet& sheet);
std::optional<Sheet> sheet_from_json(std::string_view text);

}  // namespace basefog::desk

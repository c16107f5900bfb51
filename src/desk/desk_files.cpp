// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/desk_files.hpp"

#include <fmt/format.h>

#include <map>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/log/log.hpp"
#include "basefog/matching/matching.hpp"
#include "core/whole_file.hpp"
#include "desk/wire.hpp"
#include "report/markup.hpp"

namespace basefog::desk {
namespace fs = std::filesystem;
namespace {

/// A name as report::write_match_file has it: an apostrophe keeps '#' from being a comment.
std::string name_field(const std::string& name) {
  return report::csv_text(name.starts_with('#') ? "'" + name : name);
}

/// The row of the log on which line it stands.
std::optional<std::size_t> row_on_line(const log::ShotLog& log, int line) {
  for (std::size_t row = 0; row < log.rows.size(); ++row) {
    if (log.rows[row].line == line) return row;
  }
  return std::nullopt;
}

/// Pairs that a person fixed, of pictures and rows that are there.
std::string match_text(const Sheet& sheet, const std::map<int, int>& row_on,
                       const log::ShotLog& log, const std::vector<density::ScanRecord>& records) {
  std::map<int, int> line_of;
  for (const auto& [line, id] : row_on) line_of[id] = line;
  std::map<std::string, std::size_t> frames_on;
  for (const density::ScanRecord& record : records) {
    frames_on[record.file.filename().string()] = record.failure ? 1 : record.frames.size();
  }
  std::string text = "file,frame,fixed\r\n";
  for (const FixedRow& fixed : sheet.fixed) {
    const auto scan = frames_on.find(fixed.picture.file);
    if (scan == frames_on.end() || fixed.picture.index >= static_cast<int>(scan->second)) continue;
    std::string row;
    if (fixed.row) {
      const auto line = line_of.find(*fixed.row);
      const auto place = line == line_of.end() ? std::nullopt : row_on_line(log, line->second);
      if (!place) continue;
      row = matching::row_name(log, *place);
    }
    const std::string place =
        scan->second > 1 ? fmt::format(" ({})", fixed.picture.index + 1) : std::string();
    text += name_field(fixed.picture.file + place) + "," + name_field(row) + ",yes\r\n";
  }
  return text;
}

std::string toml_text(const std::string& value) {
  std::string quoted = "\"";
  for (const char c : value) {
    if (c == '"' || c == '\\') quoted += '\\';
    quoted += c;
  }
  return quoted + "\"";
}

}  // namespace

void write_settings(const fs::path& folder, const Sheet& sheet) {
  std::string text;
  for (const auto& [key, value] : sheet.settings) {
    text += key + " = " + (key == "film_speed" ? value : toml_text(value)) + "\n";
  }
  std::error_code error;
  const fs::path file = folder / kSettingsFile;
  if (!text.empty() || fs::exists(file, error)) write_whole_file(file, text);
}

std::shared_ptr<Reviewed> review_state(const RollPlace& place, const State& state,
                                       std::vector<density::ScanRecord> records,
                                       const std::map<fs::path, int>& ids) {
  auto reviewed = std::make_shared<Reviewed>();
  reviewed->state = state.number;
  const fs::path log_file = place.folder / kLogFile;
  const fs::path match_file = place.folder / kMatchFile;
  write_settings(place.folder, state.sheet);
  const WrittenLog written = write_log(state.sheet);
  reviewed->row_on = written.row_on;
  write_whole_file(log_file, written.text);
  roll::ReviewOptions options = place.options(log_file);
  std::string pairs = "file,frame,fixed\r\n";
  if (!written.row_on.empty()) {
    options.log = log_file;
    try {
      pairs = match_text(state.sheet, written.row_on, log::read_shot_log(log_file), records);
      options.match = match_file;
    } catch (const InputError&) {
      // The review says what is wrong with the log.
    }
  }
  write_whole_file(match_file, pairs);
  reviewed->analysis = roll::review_records(std::move(records), options);
  reviewed->setup = print::print_setup(reviewed->analysis);
  reviewed->page = page_json(*reviewed, ids);
  return reviewed;
}

}  // namespace basefog::desk

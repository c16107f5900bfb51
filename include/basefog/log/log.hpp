// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/exposure_point.hpp"
#include "basefog/core/quality.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/log/remark.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::log {

/// What the camera set by itself.
enum class ExposureMode {
  manual,             ///< time and stop are the photographer's
  aperture_priority,  ///< the camera sets the time
  shutter_priority,   ///< the camera sets the stop
  program,            ///< the camera sets both
};
constexpr ExposureMode last_of(ExposureMode) { return ExposureMode::program; }
std::string_view name_of(ExposureMode mode);  ///< as in JSON

/// Shutter and aperture as a pair, either of which may be unknown.
struct ShotSettings {
  std::optional<ShutterTime> shutter;  ///< as marked, until settle_marks
  std::optional<FNumber> aperture;     ///< likewise
};

/// One row of the photographer's log. What was not written, or not understood, is absent.
struct LogRow {
  std::string frame;            ///< label as written: "7", "7A"
  std::string roll;             ///< where the log has a column for it
  int line = 0;                 ///< in the file, from 1
  ShotSettings used;            ///< what the camera was set to; as metered where nothing is written
  ShotSettings metered;         ///< what the meter asked for, where the log keeps both
  std::optional<FilmSpeed> ei;  ///< what the meter was set to
  std::optional<Stops> compensation;  ///< as dialled; positive: more exposure
  std::optional<Stops> filter;        ///< light taken by a filter, >= 0, where the row states it
  /// True where the meter sees through the lens, so that it allowed for the filter by itself.
  bool meter_behind_filter = false;
  std::optional<Stops> push;              ///< development push (+) or pull (-) asked of the lab
  std::optional<ExposureMode> mode;       ///< what the camera set by itself
  std::optional<double> focal_length_mm;  ///< as the zoom was set
  std::string lens;                       ///< as written
  std::string filter_name;                ///< as written: "ND8", "yellow"
  std::string metering;                   ///< as written
  std::string scene;                      ///< as written
  std::string note;                       ///< as written
  std::string date;                       ///< ISO 8601 where understood
  bool no_picture = false;                ///< the row says blank, lead-in, lens cap
  bool flash = false;     ///< the row says flash: the settings do not give the scene's light
  bool doubtful = false;  ///< a setting in this row carries a remark
};

/// How one column of a log was understood.
struct LogColumn {
  std::string header;   ///< as written
  std::string meaning;  ///< "shutter", "metered aperture"; "note" where the header is not known
};

/// A log as it was understood.
struct ShotLog {
  std::filesystem::path path;           ///< as given to the reader
  std::string encoding;                 ///< "UTF-8", "UTF-16", "Windows-1252"
  std::vector<LogColumn> columns;       ///< in the table's order
  std::vector<LogRow> rows;             ///< in the table's order
  std::vector<LogRemark> remarks;       ///< what was not, or not surely, understood
  std::optional<FilmSpeed> film_speed;  ///< where the log states the film's own speed
  std::string film;                     ///< and its name
  std::string developed;                ///< how, as written: "9 min at 20 C", "lab"
  std::string camera;                   ///< its name, as written
  std::string meter;                    ///< as written: "hand-held", "spot"
  std::string roll;                     ///< number or name of the roll, as written
};

/// Reads a log: a table with one line of column names, separated by commas, semicolons, tabs or
/// bars, in UTF-8, UTF-16 or Windows-1252, at most 4 MiB and 10,000 rows. Lines above the names
/// such as "film: ISO 400" or "camera: black one" hold for the whole roll; lines that begin with #
/// or // are comments. How each value is read stands at its parser in src/log/values.hpp. Rows with
/// nonsense are kept with what was understood, each with a remark. Throws InputError: not_found;
/// unreadable; unsupported (a spreadsheet's own file, a picture); malformed (no column names that
/// name settings, no rows).
ShotLog read_shot_log(const std::filesystem::path& path);

/// The same for a text that was read already; path serves messages only.
ShotLog parse_shot_log(std::string_view bytes, const std::filesystem::path& path);

/// What a scan's own metadata say of the taking camera, as a row: settings, date, metering
/// pattern and comment; the frame label and line are left to the caller. Absent where they say
/// nothing of the taking camera (scan_metadata.cpp decides what belongs to it and what to the
/// scanner).
std::optional<LogRow> row_from_metadata(const scan::ScanMetadata& metadata);

/// What the settings asked for, relative to the aim for the film's own speed: compensation,
/// log2(ISO/EI), used against metered settings, minus filter light that the meter did not see.
/// A difference between used and metered settings that the compensation states again (within a
/// quarter stop) counts once. Without reciprocity loss.
/// Absent where the row says nothing that the exposure could be held against: no picture, flash, or
/// neither settings nor a meter reading nor a compensation.
std::optional<ExposureFromAim> expected_exposure(const LogRow& row, FilmSpeed film_speed);

/// What the lab was asked for (push +, pull -): a roll is developed as one, so the middle of what
/// the rows say. Absent where none says anything.
std::optional<Stops> asked_push(const ShotLog& log);

}  // namespace basefog::log

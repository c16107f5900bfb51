// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/quality.hpp"
#include "basefog/settings.hpp"

namespace basefog {

enum class ExposureMode { manual, aperture_priority, shutter_priority, program };
std::string_view name_of(ExposureMode mode);

/// Shutter and aperture as a pair, either of which may be unknown.
struct ShotSettings {
  std::optional<ShutterTime> shutter;
  std::optional<FNumber> aperture;
};

/// One row of the photographer's log. What was not written, or not understood, is absent.
struct LogRow {
  std::string frame;     ///< label as written: "7", "7A"
  int line = 0;          ///< in the file, from 1
  ShotSettings used;     ///< what the camera was set to
  ShotSettings metered;  ///< what the meter asked for, where the log keeps both
  std::optional<FilmSpeed> ei;
  std::optional<Stops> compensation;
  std::optional<Stops> filter;  ///< light taken by a filter the meter did not see through, >= 0
  std::optional<Stops> push;    ///< development push (+) or pull (-) asked of the lab
  std::optional<ExposureMode> mode;
  std::optional<double> focal_length_mm;
  std::string lens;
  std::string metering;  ///< as written
  std::string scene;
  std::string note;
  std::string date;         ///< ISO 8601 where understood
  bool no_picture = false;  ///< the row says blank, lead-in, lens cap
};

/// A place in a log that was not, or not surely, understood.
struct LogRemark {
  int line = 0;
  std::string column;  ///< header as written
  std::string value;
  std::string text;  ///< a sentence
};

struct ShotLog {
  std::filesystem::path path;
  std::vector<LogRow> rows;
  std::vector<LogRemark> remarks;
  std::optional<FilmSpeed> film_speed;  ///< where the log states the film's own speed
  std::string film;                     ///< and its name
  std::string camera;
};

/// Reads a log. Rows with nonsense are kept with what was understood, each with a remark.
/// Throws InputError (not_found, unreadable, malformed: no header that names settings, no rows).
ShotLog read_shot_log(const std::filesystem::path& path);

/// What the settings asked for, relative to the aim for the film's own speed: compensation,
/// log2(ISO/EI), used against metered settings, minus filter light. Without reciprocity loss.
/// Absent where the row says nothing that the exposure could be held against.
std::optional<Stops> expected_exposure(const LogRow& row, FilmSpeed film_speed);

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <ostream>
#include <string>

#include "basefog/core/settings.hpp"
#include "basefog/log/camera.hpp"

namespace basefog::print {

/// What a blank log is for. What is empty or absent becomes a line to write on.
struct LogsheetOptions {
  int frames = 36;      ///< rows, 1 to 400: 36 for a full roll, 72 for half frames, 8 to 16 for 120
  int first_frame = 1;  ///< number of the first row, 0 to 400
  std::string roll;     ///< its number or name
  std::string film;     ///< its name
  std::optional<FilmSpeed> film_speed;  ///< the film's own
  std::optional<FilmSpeed> ei;          ///< what the meter is set to

  /// Empty when usable, otherwise a sentence.
  std::string validate() const;
};

/// Printed pages that the rows take, at most 40 on each.
int logsheet_pages(const LogsheetOptions& options);

/// A blank log to fill in on a computer: UTF-8, comma separated, with what is known of the roll and
/// the camera's marks above the column names. read_shot_log reads what comes back; rows that stay
/// empty at the end are no rows. Throws InputError (usage) where the options do not validate.
void write_logsheet_csv(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options = {});

/// A blank log to print on A4 and fill in by hand: room for metered and used settings in each row,
/// the camera's marked times and stops and its lenses in the margin. PDF holds all pages; SVG one,
/// from 1 to logsheet_pages(), with its letters as outlines and the words as its description.
/// Throws InputError (usage) where the options do not validate.
void write_logsheet_pdf(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options = {});
/// One page as SVG; otherwise as write_logsheet_pdf.
void write_logsheet_svg(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options = {}, int page = 1);

}  // namespace basefog::print

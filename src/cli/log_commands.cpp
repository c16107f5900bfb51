// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/log_commands.hpp"

#include <iostream>

#include "basefog/camera.hpp"
#include "basefog/error.hpp"
#include "basefog/log_table.hpp"
#include "basefog/logsheet.hpp"
#include "basefog/shot_log.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
namespace {

std::optional<FilmSpeed> as_speed(const std::optional<double>& iso) {
  return iso ? std::optional(FilmSpeed(*iso)) : std::nullopt;
}

/// page 1 of 1 keeps its name; "log.svg" becomes "log-2.svg" for the second of several.
std::filesystem::path page_file(const std::filesystem::path& out, int page, int pages) {
  if (pages == 1) return out;
  return out.parent_path() /
         (out.stem().string() + "-" + std::to_string(page) + out.extension().string());
}

}  // namespace

int run_log(const LogArguments& arguments) {
  ShotLog log = read_shot_log(arguments.log);
  if (arguments.camera) check_against_camera(log, read_camera(*arguments.camera));
  write_log_table(std::cout, log, terminal_style());
  return log.remarks.empty() ? kAllMeasured : kSomeNotMeasured;
}

int run_logsheet(const LogsheetArguments& arguments) {
  if (arguments.camera) check_not_an_input(arguments.out, {*arguments.camera});
  const Camera camera = arguments.camera ? read_camera(*arguments.camera) : default_camera();
  const LogsheetOptions options{.frames = arguments.frames,
                                .first_frame = arguments.first_frame,
                                .roll = arguments.roll,
                                .film = arguments.film,
                                .film_speed = as_speed(arguments.film_speed),
                                .ei = as_speed(arguments.ei)};
  if (const std::string problem = options.validate(); !problem.empty()) {
    throw InputError(ErrorCode::usage, arguments.out, problem, "see basefog logsheet --help");
  }
  if (arguments.out.extension() == ".csv" || arguments.out == "-") {
    write_output(arguments.out,
                 [&](std::ostream& out) { write_logsheet_csv(out, camera, options); });
    return kAllMeasured;
  }
  if (arguments.out.extension() != ".svg") {
    throw InputError(ErrorCode::usage, arguments.out, "is neither .csv nor .svg",
                     "name a .csv file to fill in on a computer, or a .svg file to print");
  }
  const int pages = logsheet_pages(options);
  for (int page = 1; page <= pages; ++page) {
    write_output(page_file(arguments.out, page, pages),
                 [&](std::ostream& out) { write_logsheet_svg(out, camera, options, page); });
  }
  return kAllMeasured;
}

}  // namespace basefog::cli

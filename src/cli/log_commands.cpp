// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/log_commands.hpp"

#include <CLI/CLI.hpp>
#include <iostream>

#include "basefog/core/error.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/log/log.hpp"
#include "basefog/print/logsheet.hpp"
#include "basefog/report/log_table.hpp"
#include "cli/exit_status.hpp"
#include "cli/option_checks.hpp"
#include "cli/outputs.hpp"
#include "cli/settings.hpp"
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

int run_log(const LogArguments& given) {
  LogArguments arguments = given;
  take_setting(arguments.camera, "camera", settings_for(given.log, {}));
  Inputs inputs{.files = {arguments.log}};
  if (arguments.camera) inputs.files.push_back(*arguments.camera);
  if (arguments.json) check_outputs({*arguments.json}, inputs);
  log::ShotLog log = log::read_shot_log(arguments.log);
  if (arguments.camera) log::check_against_camera(log, log::read_camera(*arguments.camera));
  write_answer(
      arguments.json, [&](std::ostream& out) { report::write_log_json(out, log); },
      [&](std::ostream& out) { report::write_log_table(out, log, terminal_style()); });
  return log.remarks.empty() ? kAllMeasured : kSomeNotMeasured;
}

int run_logsheet(const LogsheetArguments& given) {
  LogsheetArguments arguments = given;
  take_setting(arguments.camera, "camera", settings_for({}, {}));
  if (arguments.camera) check_outputs({arguments.out}, {.files = {*arguments.camera}});
  const log::Camera camera =
      arguments.camera ? log::read_camera(*arguments.camera) : log::default_camera();
  const print::LogsheetOptions options{.frames = arguments.frames,
                                       .first_frame = arguments.first_frame,
                                       .roll = arguments.roll,
                                       .film = arguments.film,
                                       .film_speed = as_speed(arguments.film_speed),
                                       .ei = as_speed(arguments.ei)};
  if (const std::string problem = options.validate(); !problem.empty()) {
    throw InputError(ErrorCode::usage, arguments.out, problem, "see basefog logsheet --help");
  }
  if (arguments.out.extension() == ".csv" || arguments.out == "-") {
    // A log may have been filled in there.
    std::error_code error;
    if (std::filesystem::exists(arguments.out, error)) {
      throw InputError(ErrorCode::usage, arguments.out, "is there already",
                       "name a new file, or move it away");
    }
    write_output(arguments.out,
                 [&](std::ostream& out) { print::write_logsheet_csv(out, camera, options); });
    return kAllMeasured;
  }
  if (arguments.out.extension() == ".pdf") {
    write_output(arguments.out,
                 [&](std::ostream& out) { print::write_logsheet_pdf(out, camera, options); });
    return kAllMeasured;
  }
  if (arguments.out.extension() != ".svg") {
    throw InputError(ErrorCode::usage, arguments.out, "is none of .csv, .pdf and .svg",
                     "name a .csv file to fill in on a computer, or a .pdf or .svg file to print");
  }
  const int pages = print::logsheet_pages(options);
  for (int page = 1; page <= pages; ++page) {
    write_output(page_file(arguments.out, page, pages),
                 [&](std::ostream& out) { print::write_logsheet_svg(out, camera, options, page); });
  }
  return kAllMeasured;
}

void add_log_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("log", "Show how each row of a log was understood");
  const auto a = std::make_shared<LogArguments>();
  command->add_option("log", a->log, "The log (CSV); - for standard input")
      ->required()
      ->type_name("FILE");
  command->add_option("--camera", a->camera, "Hold it against this camera's marks")
      ->type_name("FILE");
  add_json_option(*command, a->json);
  command->footer(
      "Exit status 1 where something in the log was doubtful.\n\n  basefog log roll7.csv\n");
  command->callback([a, &status] { status = run_log(*a); });
}

void add_logsheet_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("logsheet", "Write a blank log for the next roll");
  const auto a = std::make_shared<LogsheetArguments>();
  command
      ->add_option("out", a->out, "A .csv file to fill in, a .pdf or .svg file to print; - for CSV")
      ->required()
      ->type_name("FILE");
  command->add_option("--camera", a->camera, "Camera file whose marks go into the margin")
      ->type_name("FILE");
  command->add_option("--frames", a->frames, "Rows")->type_name("N")->capture_default_str();
  command->add_option("--first-frame", a->first_frame, "Number of the first")
      ->type_name("N")
      ->capture_default_str();
  command->add_option("--roll", a->roll, "The roll's number or name")->type_name("NAME");
  command->add_option("--film", a->film, "The film's name")->type_name("NAME");
  command->add_option("--film-speed", a->film_speed, "The film's own ISO speed")
      ->check(film_speed())
      ->type_name("N");
  command->add_option("--ei", a->ei, "The exposure index dialled")
      ->check(film_speed())
      ->type_name("N");
  command->footer(
      "Print it to scale and fold it into the camera bag; type it in later, in any order of "
      "columns. A .pdf file holds all pages, .svg files one each.\n\n"
      "  basefog logsheet roll8.pdf --roll 8 --film-speed 400 --ei 250\n");
  command->callback([a, &status] { status = run_logsheet(*a); });
}

}  // namespace basefog::cli

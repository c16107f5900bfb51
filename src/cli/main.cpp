// SPDX-License-Identifier: GPL-3.0-or-later
#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>
#include <map>

#include "basefog/error.hpp"
#include "basefog/version.hpp"
#include "cli/calibrate_scanner_command.hpp"
#include "cli/exit_status.hpp"
#include "cli/film_commands.hpp"
#include "cli/log_commands.hpp"
#include "cli/review_command.hpp"

namespace basefog::cli {
namespace {

/// A finite number above zero; CLI11's own check lets nan and inf pass.
const CLI::Validator kPositive(
    [](const std::string& text) -> std::string {
      double value = 0;
      if (!CLI::detail::lexical_cast(text, value) || !(value > 0) || value > 1e9) {
        return "must be a number above 0, not " + text;
      }
      return "";
    },
    "NUMBER", "positive");

const std::map<std::string, MeteringPattern> kPatterns = {
    {"average", MeteringPattern::average},
    {"centre-weighted", MeteringPattern::centre_weighted},
    {"spot", MeteringPattern::spot},
};

void add_review(CLI::App& app, ReviewArguments& a, int& status) {
  CLI::App* command = app.add_subcommand("review", "Review the scans of one roll");
  command->add_option("scans", a.scans, "Scans, or a folder of scans")->required();
  command->add_option("--log", a.log, "The roll's log of settings (CSV)")->type_name("FILE");
  command->add_option("--match", a.match, "Frames and rows that belong together (CSV: file,frame)")
      ->type_name("FILE");
  command->add_option("--camera", a.camera, "Camera file: marks, lenses, how it meters")
      ->type_name("FILE");
  command->add_option("--film", a.film, "bw, colour, chromogenic, or a film profile")
      ->type_name("KIND|FILE");
  command->add_option("--film-speed", a.film_speed, "The film's own ISO speed")->check(kPositive);
  command->add_option("--response", a.response, "linear, srgb, gamma=N, or a response file")
      ->type_name("KIND|FILE");
  command->add_option("--light", a.light, "A shot of the bare light source, same exposure")
      ->type_name("FILE");
  command->add_option("--base-scan", a.base_scan, "A scan of clear film alone, same exposure")
      ->type_name("FILE");
  command->add_option("--metering", a.metering, "How the camera's meter weighs the frame")
      ->transform(CLI::CheckedTransformer(kPatterns))
      ->type_name("average|centre-weighted|spot");
  command->add_option("--aim-k", a.aim_k, "Meter constant K of the aim, cd/m²")
      ->check(kPositive)
      ->capture_default_str();
  command->add_option("--aim-q", a.aim_q, "Lens factor q of the aim")
      ->check(kPositive)
      ->capture_default_str();
  command->add_option("--out", a.outputs.folder, "Write report, JSON and CSV into this folder")
      ->type_name("FOLDER");
  command->add_option("--json", a.outputs.json, "Write JSON; - for standard output")
      ->type_name("FILE");
  command->add_option("--csv", a.outputs.csv, "Write a table for a spreadsheet; - likewise")
      ->type_name("FILE");
  command->add_option("--html", a.outputs.html, "Write the report; - likewise")->type_name("FILE");
  command->add_option("--threads", a.threads, "Scans read at once; 0: one a core")
      ->check(CLI::Range(0, 256))
      ->capture_default_str();
  command->add_flag("--quiet", a.quiet, "No progress on standard error");
  command->callback([&] { status = run_review(a); });
}

void add_log(CLI::App& app, LogArguments& a, int& status) {
  CLI::App* command = app.add_subcommand("log", "Show how each row of a log was understood");
  command->add_option("log", a.log, "The log (CSV)")->required()->type_name("FILE");
  command->add_option("--camera", a.camera, "Hold it against this camera's marks")
      ->type_name("FILE");
  command->callback([&] { status = run_log(a); });
}

void add_logsheet(CLI::App& app, LogsheetArguments& a, int& status) {
  CLI::App* command = app.add_subcommand("logsheet", "Write a blank log for the next roll");
  command->add_option("out", a.out, "A .csv file to fill in, a .svg file to print; - for CSV")
      ->required()
      ->type_name("FILE");
  command->add_option("--camera", a.camera, "Camera file whose marks go into the margin")
      ->type_name("FILE");
  command->add_option("--frames", a.frames, "Rows")->capture_default_str();
  command->add_option("--first-frame", a.first_frame, "Number of the first")->capture_default_str();
  command->add_option("--roll", a.roll, "The roll's number or name");
  command->add_option("--film", a.film, "The film's name");
  command->add_option("--film-speed", a.film_speed, "The film's own ISO speed")->check(kPositive);
  command->add_option("--ei", a.ei, "The exposure index dialled")->check(kPositive);
  command->callback([&] { status = run_logsheet(a); });
}

void add_film(CLI::App& app, FilmArguments& a, int& status) {
  CLI::App* command =
      app.add_subcommand("film", "Print a film's curve: speed, gradients, limits, how sure");
  command->add_option("film", a.film, "bw, colour, chromogenic, or a film profile")
      ->required()
      ->type_name("KIND|FILE");
  command->add_option("--film-speed", a.film_speed, "The film's own ISO speed")->check(kPositive);
  command->add_option("--plot", a.plot, "Draw the curve (SVG)")->type_name("FILE");
  command->callback([&] { status = run_film(a); });
}

void add_calibrate_film(CLI::App& calibrate, CalibrateFilmArguments& a, int& status) {
  CLI::App* command = calibrate.add_subcommand(
      "film", "Measure a film and its development from a series of known exposures, for --film");
  command
      ->add_option("input", a.inputs,
                   "Scans of one evenly lit subject, with --log; or a table of log exposure and "
                   "densities (.csv)")
      ->required();
  command->add_option("--log", a.log, "The exposures' log")->type_name("FILE");
  command->add_option("--film", a.film, "bw, colour or chromogenic")
      ->type_name("KIND")
      ->capture_default_str();
  command->add_option("--film-speed", a.film_speed, "The film's own ISO speed")->check(kPositive);
  command->add_option("--response", a.response, "How the scans' codes stand for light")
      ->type_name("KIND|FILE");
  command->add_flag("--trusted-exposures", a.trusted_exposures,
                    "Exposures are known apart from the camera's own meter");
  command->add_option("--out", a.out, "The film profile to write")->type_name("FILE");
  command->add_option("--plot", a.plot, "Draw the curve (SVG)")->type_name("FILE");
  command->callback([&] { status = run_calibrate_film(a); });
}

void add_calibrate_scanner(CLI::App& calibrate, CalibrateScannerArguments& a, int& status) {
  CLI::App* command = calibrate.add_subcommand(
      "scanner", "Measure a scanner's response from a step tablet, for --response");
  command->add_option("tablet", a.tablet, "A scan of the tablet, or a table of code,density lines")
      ->required();
  command->add_option("--steps", a.steps, "Densities of the tablet's steps, lightest first")
      ->type_name("FILE");
  command->add_option("--patches", a.patches, "Where the patches are: x,y,width,height in pixels")
      ->type_name("FILE");
  command->add_option("--tablet-sigma", a.tablet_sigma, "How sure the tablet's densities are")
      ->check(kPositive)
      ->capture_default_str();
  command->add_option("--full-scale", a.full_scale, "Full scale of the codes in a table")
      ->check(kPositive)
      ->capture_default_str();
  command->add_option("--out", a.out, "The response file to write")->required()->type_name("FILE");
  command->callback([&] { status = run_calibrate_scanner(a); });
}

int run(int argc, char** argv) {
  CLI::App app("Reads scans of negative film back to the exposure that the film received.",
               "basefog");
  app.set_version_flag("--version", std::string("basefog ") + kVersion);
  app.require_subcommand(1);
  int status = kAllMeasured;
  ReviewArguments review_arguments;
  add_review(app, review_arguments, status);
  LogArguments log_arguments;
  add_log(app, log_arguments, status);
  LogsheetArguments logsheet_arguments;
  add_logsheet(app, logsheet_arguments, status);
  FilmArguments film_arguments;
  add_film(app, film_arguments, status);
  CLI::App* calibrate = app.add_subcommand("calibrate", "Measure a scanner or a film");
  calibrate->require_subcommand(1);
  CalibrateScannerArguments scanner_arguments;
  add_calibrate_scanner(*calibrate, scanner_arguments, status);
  CalibrateFilmArguments calibrate_film_arguments;
  add_calibrate_film(*calibrate, calibrate_film_arguments, status);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kAllMeasured : kUsage;  // CLI11 counts from 100
  }
  return status;
}

/// A roll without a single scan is nothing measured; everything else is how the program was called.
ExitStatus status_of(const InputError& error) {
  return error.code() == ErrorCode::no_scans ? kNothingMeasured : kUsage;
}

}  // namespace
}  // namespace basefog::cli

int main(int argc, char** argv) {
  try {
    return basefog::cli::run(argc, argv);
  } catch (const basefog::InputError& error) {
    std::fprintf(stderr, "basefog: %s.\n", error.what());
    return basefog::cli::status_of(error);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "basefog: %s.\n", error.what());
    return basefog::cli::kNothingMeasured;
  }
}

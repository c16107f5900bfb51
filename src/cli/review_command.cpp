// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/review_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <map>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/ledger/ledger.hpp"
#include "basefog/matching/matching.hpp"
#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/sidecar.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/remembered_roll.hpp"
#include "cli/exit_status.hpp"
#include "cli/progress.hpp"
#include "cli/rolls.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"
#include "report/markup.hpp"

namespace basefog::cli {
namespace {

/// Whether somebody's work is in a match file; one that cannot be read may be anything.
bool holds_corrections(const std::filesystem::path& file) {
  try {
    const std::vector<matching::WrittenPair> pairs = matching::read_match_file(file);
    return std::ranges::any_of(pairs, &matching::WrittenPair::fixed);
  } catch (const InputError& error) {
    return error.code() != ErrorCode::not_found;
  }
}

/// The match file to correct; never over the one that was given, which may lie among the results,
/// nor over corrections that nobody handed back.
void write_match_to_correct(const std::filesystem::path& file, const ReviewArguments& arguments,
                            const roll::Analysis& analysis) {
  std::error_code error;
  if (!analysis.matching) return;
  const auto& given = arguments.roll.match;
  if (given && std::filesystem::equivalent(*given, file, error)) return;
  if (holds_corrections(file)) {
    say(file.string() + ": holds corrections and stays as it was; take them up with --match, or " +
        "move it away to have a new one.");
    return;
  }
  write_output(file, [&](std::ostream& out) { report::write_match_file(out, analysis); });
}

}  // namespace

const std::map<std::string, report::TableLayout>& table_layouts() {
  static const std::map<std::string, report::TableLayout> kLayouts = {
      {"table", report::TableLayout::table},
      {"wide", report::TableLayout::wide},
      {"list", report::TableLayout::list}};
  return kLayouts;
}

roll::ReviewOptions review_options(const ReviewArguments& arguments) {
  roll::ReviewOptions options = as_review_options(arguments.roll);
  options.roll_name = arguments.roll_name;
  options.progress = Progress(arguments.roll.quiet, arguments.roll.verbose);
  return options;
}

namespace {

/// Reads the film's other rolls again with what the new one said of it. How many now read
/// otherwise.
std::size_t read_others_again(ledger::Ledger& ledger, const memory::FilmLesson& lesson) {
  const std::vector<memory::FilmLesson> lessons = ledger.lessons();
  std::size_t count = 0;
  for (const memory::KeptRoll& kept : ledger.kept(lesson.use.film)) {
    const memory::FilmLesson& other = kept.film.lesson;
    const bool itself = other.roll == lesson.roll && other.camera == lesson.camera;
    if (itself || other.form != lesson.form) continue;
    const auto now = memory::read_again(kept, lessons);
    if (!now) continue;
    ledger.remember(now->roll, now->film);
    ++count;
  }
  return count;
}

}  // namespace

void remember_roll(const ReviewArguments& arguments, const roll::Analysis& analysis) {
  const std::filesystem::path path = ledger_of(arguments.roll);
  const meter::RememberedRoll roll = roll::remembered_roll(analysis);
  const std::optional<memory::KeptFilm> film = roll::kept_film(analysis);
  ledger::Ledger ledger(path, ledger::Ledger::Access::write);
  const bool again = ledger.remember(roll, film);
  const std::size_t others = film ? read_others_again(ledger, film->lesson) : 0;
  if (arguments.roll.quiet) return;
  say("roll " + roll.name + (again ? " replaced" : " remembered") + " in " + path.string() + ", " +
      std::to_string(roll.deviations.size()) + " frames" +
      (film ? ", film " + film->lesson.use.film : "") + ".");
  if (others > 0) {
    say(std::to_string(others) +
        (others == 1 ? " earlier roll of the film was" : " earlier rolls of the film were") +
        " read again as it is known now.");
  }
}

void add_previous_roll(const ReviewArguments& arguments, roll::Analysis& analysis) {
  std::error_code error;
  if (!analysis.log || analysis.deviations.empty()) return;
  try {
    const std::filesystem::path path = ledger_of(arguments.roll);
    if (!std::filesystem::exists(path, error)) return;
    const ledger::Ledger ledger(path, ledger::Ledger::Access::read);
    const meter::RememberedRoll now = roll::remembered_roll(analysis);
    constexpr int kEnough = 4;  // this one, its copies under other names, and the one before
    analysis.previous_roll =
        meter::previous_roll(ledger.newest(now.camera, now.film, now.date, kEnough), now);
  } catch (const InputError&) {
    // A review does not need one; --remember and the commands that do say what is wrong with it.
  }
}

void write_results(const ReviewArguments& arguments, const roll::Analysis& analysis,
                   const std::string& index) {
  const Outputs& outputs = arguments.outputs;
  const auto json = [&](std::ostream& out) { report::write_json(out, analysis); };
  const auto csv = [&](std::ostream& out) { report::write_csv(out, analysis); };
  const auto html = [&](std::ostream& out) { page::write_html(out, analysis, index); };
  if (outputs.json) write_output(*outputs.json, json);
  if (outputs.csv) write_output(*outputs.csv, csv);
  if (outputs.html) write_output(*outputs.html, html);
  if (outputs.folder) {
    write_output(*outputs.folder / "report.html", html);
    write_output(*outputs.folder / "review.json", json);
    write_output(*outputs.folder / "frames.csv", csv);
    write_match_to_correct(*outputs.folder / "match.csv", arguments, analysis);
    if (arguments.sidecar) report::write_sidecars(*outputs.folder / "sidecars", analysis);
  }
  if (arguments.sidecar_beside) {
    const report::SidecarsBeside result = report::write_sidecars_beside(analysis);
    for (const std::filesystem::path& file : result.kept) {
      say(file.string() +
          ": was there before and stays as it was; move it away to have a new one.");
    }
  }
}

namespace {

/// Refuses words that cannot go together.
void check(const ReviewArguments& arguments) {
  const RollArguments& roll = arguments.roll;
  if (arguments.records.empty() == roll.scans.empty()) {
    throw InputError(ErrorCode::usage, "review", "takes scans, or their records with --from",
                     "name either");
  }
  const bool reading = !roll.response.empty() || roll.light || !roll.layout.empty();
  if (!arguments.records.empty() && reading) {
    throw InputError(ErrorCode::usage, "--from",
                     "takes scans that are read already, so that --response, --light and --layout "
                     "come too late",
                     "give them to basefog read --record");
  }
}

/// The report that was written; nothing where none was asked for, or it went to standard output.
std::optional<std::filesystem::path> report_of(const Outputs& outputs) {
  if (outputs.folder) return *outputs.folder / "report.html";
  if (outputs.html && *outputs.html != "-") return *outputs.html;
  return std::nullopt;
}

int review_one_roll(const ReviewArguments& arguments, const Inputs& inputs) {
  const RollArguments& roll = arguments.roll;
  check_outputs(arguments.outputs.files(), inputs);
  const roll::ReviewOptions options = review_options(arguments);
  roll::Analysis analysis =
      arguments.records.empty()
          ? roll::review(roll.scans, options)
          : roll::review_records(density::read_scan_records(arguments.records), options);
  add_previous_roll(arguments, analysis);
  write_results(arguments, analysis);
  if (!arguments.outputs.to_stdout() && !roll.quiet) {
    report::TerminalStyle style = terminal_style(arguments.colour);
    style.layout = arguments.layout.value_or(style.layout);
    style.detailed = roll.verbose;
    report::write_table(std::cout, analysis, style);
    const auto written = report_of(arguments.outputs);
    std::cout << (written ? "Report: " + report::printable(written->string())
                          : std::string("Report: none; --out FOLDER writes one."))
              << '\n';
  }
  if (arguments.open) show_file(*report_of(arguments.outputs));
  if (roll.quiet || arguments.outputs.to_stdout()) say_unreadable(analysis);
  if (arguments.remember) remember_roll(arguments, analysis);
  return exit_status_of(analysis);
}

}  // namespace

int run_review(const ReviewArguments& given) {
  check(given);
  const std::vector<std::filesystem::path> rolls = roll_folders(given.roll.scans);
  ReviewArguments arguments = given;
  Settings settings = settings_for(given.roll.log, given.roll.scans);
  if (!given.records.empty()) settings.erase("response");  // they are read already
  take_settings(arguments, settings);
  if (rolls.empty()) take_settings(arguments.roll, settings);
  if (arguments.sidecar && !arguments.outputs.folder) {
    throw InputError(ErrorCode::usage, "--sidecar", "needs a folder to write into",
                     "name one with --out FOLDER");
  }
  if (arguments.open && !report_of(arguments.outputs)) {
    throw InputError(ErrorCode::usage, "--open", "needs a report to open",
                     "name where to write it, with --out FOLDER or --html FILE");
  }
  Inputs inputs = inputs_of(arguments.roll);
  inputs.scans.insert(inputs.scans.end(), arguments.records.begin(), arguments.records.end());
  if (arguments.remember) check_not_an_input(ledger_of(arguments.roll), inputs);
  if (rolls.empty()) return review_one_roll(arguments, inputs);
  const int status = run_rolls(arguments, rolls);
  if (arguments.open && arguments.outputs.folder) {
    show_file(*arguments.outputs.folder / "index.html");
  }
  return status;
}

void add_review_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("review", "Review the scans of a roll, or of a folder of rolls");
  const auto a = std::make_shared<ReviewArguments>();
  command->add_option("--out", a->outputs.folder, "Write report, JSON and CSV into this folder")
      ->type_name("FOLDER")
      ->group("Results");
  command->add_flag("--sidecar", a->sidecar, "Also XMP files for catalogues, into OUT/sidecars")
      ->group("Results");
  command
      ->add_flag("--sidecar-beside", a->sidecar_beside,
                 "XMP files next to the scans; never over a file that is there")
      ->group("Results");
  command->add_option("--json", a->outputs.json, "Write JSON; - for standard output")
      ->type_name("FILE")
      ->group("Results");
  command->add_option("--csv", a->outputs.csv, "Write a table for a spreadsheet; - likewise")
      ->type_name("FILE")
      ->group("Results");
  command->add_option("--html", a->outputs.html, "Write the report; - likewise")
      ->type_name("FILE")
      ->group("Results");
  command->add_flag("--open", a->open, "Open the report when it is written")->group("Results");
  command->add_option("--style", a->layout, "How frames are listed; list where it is too narrow")
      ->transform(CLI::CheckedTransformer(table_layouts()))
      ->type_name("table|wide|list")
      ->default_str("table")
      ->group("Terminal");
  add_colour_option(*command, a->colour)->group("Terminal");
  command->add_flag("--remember", a->remember, "Keep what the roll says of meter and film")
      ->group("Ledger");
  command->add_option("--roll", a->roll_name, "The roll's name in the ledger")
      ->type_name("NAME")
      ->group("Ledger");
  command
      ->add_flag("--no-memory", a->roll.no_memory,
                 "Use nothing that earlier rolls said of the film")
      ->group("Ledger");
  command->add_option("--ledger", a->roll.ledger, "The ledger's file; default: in the data folder")
      ->type_name("FILE")
      ->group("Ledger");
  add_roll_options(*command, a->roll)->required(false);
  command->add_option("--from", a->records, "Records of scans (basefog read --record)")
      ->type_name("FILE|FOLDER")
      ->group("Film and scanner");
  command->footer(
      "Progress goes to standard error, the table to standard output. --out writes report.html, "
      "review.json, frames.csv and match.csv. Nothing but --sidecar-beside writes among "
      "the inputs, and that never over a file.\n\n"
      "A folder that holds no scans but folders of scans is taken as many rolls: each is reviewed "
      "with the log that lies in its folder, and --out gets a folder a roll, index.html and "
      "rolls.csv.\n\n"
      "  basefog review scans/roll7 --log roll7.csv --out roll7-result\n"
      "  basefog review scans/roll7 --json - > roll7.json\n");
  command->callback([a, &status] { status = run_review(*a); });
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/film_commands.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "basefog/core/error.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/ledger/ledger.hpp"
#include "basefog/memory/film_memory.hpp"
#include "basefog/report/film_report.hpp"
#include "basefog/report/film_wording.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/film_test_frames.hpp"
#include "cli/bias_command.hpp"
#include "cli/exit_status.hpp"
#include "cli/input_files.hpp"
#include "cli/option_checks.hpp"
#include "cli/outputs.hpp"
#include "cli/progress.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
namespace {

/// No shutter repeats better than this, stops (judgement); keeps the fit's weights finite.
constexpr double kLeastScatter = 0.005;

/// calibrate_film does not know what file its steps came from.
film::FilmTest calibrate(const film::FilmTestSeries& series, FilmKind kind,
                         const std::filesystem::path& file) {
  try {
    return film::calibrate_film(series, kind);
  } catch (const InputError& error) {
    if (!error.path().empty()) throw;
    throw InputError(error.code(), file, error.problem(), error.next_step());
  }
}

void write_results(const CalibrateFilmArguments& arguments, film::FilmTest test,
                   const film::FilmTestSeries& series) {
  if (arguments.film_speed && !test.profile.speed_measured) {
    test.profile.iso_speed = FilmSpeed(*arguments.film_speed);
  }
  report::write_film_test(std::cout, test);
  if (arguments.out && !arguments.film_speed && !test.speed && !series.metered_for) {
    say("The exposures do not show the film's speed and nobody stated it, so the profile says "
        "ISO " +
        as_marked(test.profile.iso_speed) + "; state it with --film-speed.");
  }
  if (arguments.out) {
    write_output(*arguments.out,
                 [&](std::ostream& out) { film::write_film_profile(out, test.profile); });
  }
  if (arguments.plot) {
    write_output(*arguments.plot, [&](std::ostream& out) {
      out << report::film_plot(test.profile, &series, &test);
    });
  }
}

int calibrate_from_table(const CalibrateFilmArguments& arguments, FilmKind kind) {
  const std::filesystem::path& table = arguments.inputs.front();
  const std::vector<film::FilmTestSeries> all =
      film::read_densitometer_table(table, kind, arguments.trusted_exposures);
  if (all.size() == 1) {
    write_results(arguments, calibrate(all.front(), kind, table), all.front());
    return kAllMeasured;
  }
  if (arguments.out || arguments.plot) {
    throw InputError(ErrorCode::usage, table, "holds several developments, and a profile is of one",
                     "leave that one's column alone in the table");
  }
  report::write_developments(std::cout, film::compare_developments(all, kind));
  return kAllMeasured;
}

int calibrate_from_scans(const CalibrateFilmArguments& arguments, const film::FilmProfile& film) {
  if (!arguments.log) {
    throw InputError(ErrorCode::usage, arguments.inputs.front(),
                     "needs the log of the test's exposures", "name it with --log FILE");
  }
  roll::ReviewOptions options;
  options.log = arguments.log;
  options.film = film;
  if (arguments.film_speed) options.film_speed = FilmSpeed(*arguments.film_speed);
  if (!arguments.response.empty())
    options.measure.read.response = response::parse_response(arguments.response);
  options.progress = Progress(false);
  const roll::Analysis analysis = roll::review(arguments.inputs, options);
  const roll::FilmTestFrames frames = roll::film_test_from_frames(
      analysis, {.trusted_meter = arguments.trusted_exposures,
                 .exposure_sigma_stops = std::max(kLeastScatter, arguments.exposure_scatter)});
  for (const std::string& text : report::film_test_frames_texts(frames)) say(text);
  film::FilmTest test = calibrate(frames.series, film.kind, arguments.inputs.front());
  test.profile.measured_on = analysis.name;
  write_results(arguments, std::move(test), frames.series);
  return kAllMeasured;
}

}  // namespace

film::FilmProfile named_film(const std::string& name) {
  constexpr FilmSpeed kToBeStated{100};
  if (const auto kind = film_kind_of(name)) return film::generic_film(*kind, kToBeStated);
  return film::read_film_profile(name);
}

namespace {

/// A film and, where it is a remembered one, what it is remembered by.
struct FilmInQuestion {
  film::FilmProfile profile;
  film::FilmProfile form;
  memory::FilmUse use;
  std::optional<memory::FilmMemory> memory;
};

/// Nothing where the ledger has no roll of the film. Of rolls that were read through several
/// curves, those of the measured one's.
std::optional<FilmInQuestion> remembered_film(const FilmArguments& arguments) {
  const std::filesystem::path path = ledger_path(arguments.ledger);
  std::error_code error;
  if (!std::filesystem::exists(path, error)) return std::nullopt;
  const std::vector<memory::FilmLesson> lessons =
      ledger::Ledger(path, ledger::Ledger::Access::read).lessons();
  const std::string name =
      arguments.film_speed ? memory::with_speed(arguments.film, FilmSpeed(*arguments.film_speed))
                           : arguments.film;
  FilmInQuestion film{.use = {.film = name, .developed = arguments.developed}};
  bool is_known = false;
  for (const memory::FilmLesson& lesson : lessons) {
    if (!memory::is_same_film(lesson.use.film, name)) continue;
    is_known = true;
    if (arguments.developed.empty()) film.use = lesson.use;
    if (lesson.profile) film.form = *lesson.profile;
    if (film::generic_form(lesson.form)) film.form.iso_speed = lesson.film_speed;
  }
  if (!is_known) return std::nullopt;
  if (const auto measured = memory::measured_curve(lessons, name)) {
    film.form = memory::on_another_roll(*measured, film.use);
  }
  if (film.form.layers.empty()) {
    throw InputError(ErrorCode::usage, path,
                     "has rolls of \"" + arguments.film + "\" that were read through a profile",
                     "see that profile with basefog film FILE");
  }
  film.use.film = name;
  film.memory = memory::recall(lessons, film.use, film.form);
  film.profile = film::believed(film.form, film.memory->roll);
  film.profile.name = name;
  film.profile.contrast_source = film::ContrastSource::remembered;
  return film;
}

FilmInQuestion film_in_question(const FilmArguments& arguments) {
  std::error_code error;
  if (!film_kind_of(arguments.film) && !std::filesystem::exists(arguments.film, error)) {
    if (auto film = remembered_film(arguments)) return *film;
  }
  return {.profile = named_film(arguments.film)};
}

}  // namespace

int run_film(const FilmArguments& arguments) {
  FilmInQuestion film = film_in_question(arguments);
  if (arguments.film_speed) film.profile.iso_speed = FilmSpeed(*arguments.film_speed);
  for (const auto& output : {arguments.plot, arguments.json, arguments.out}) {
    if (output) check_outputs({*output}, {.files = {arguments.film}});
  }
  write_answer(
      arguments.json, [&](std::ostream& out) { report::write_film_json(out, film.profile); },
      [&](std::ostream& out) {
        if (film.memory) report::write_film_memory(out, film.use, *film.memory, film.form);
        if (film.memory) out << '\n';
        report::write_film(out, film.profile);
      });
  if (arguments.out) {
    write_output(*arguments.out,
                 [&](std::ostream& out) { film::write_film_profile(out, film.profile); });
  }
  if (arguments.plot) {
    write_output(*arguments.plot,
                 [&](std::ostream& out) { out << report::film_plot(film.profile); });
  }
  return kAllMeasured;
}

int run_calibrate_film(const CalibrateFilmArguments& given) {
  CalibrateFilmArguments arguments = given;
  const bool table = arguments.inputs.size() == 1 && is_table_file(arguments.inputs.front());
  if (!table) {
    RollArguments roll{.response = arguments.response};
    take_settings(roll, settings_for({}, arguments.inputs));
    arguments.response = roll.response;
  }
  Inputs inputs;
  (table ? inputs.files : inputs.scans) = arguments.inputs;
  if (arguments.log) inputs.files.push_back(*arguments.log);
  check_inputs_exist(inputs.scans);
  check_inputs_exist(inputs.files);
  inputs.files.emplace_back(arguments.film);
  if (!arguments.response.empty()) inputs.files.emplace_back(arguments.response);
  for (const auto& output : {arguments.out, arguments.plot}) {
    if (output) check_outputs({*output}, inputs);
  }
  const film::FilmProfile film = named_film(arguments.film);
  return table ? calibrate_from_table(arguments, film.kind) : calibrate_from_scans(arguments, film);
}

void add_film_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("film", "Print a film's curve: speed, gradients, limits, how sure");
  const auto a = std::make_shared<FilmArguments>();
  command
      ->add_option("film", a->film,
                   film_kind_words(", ") + ", a film profile, or a film by its name in the ledger")
      ->required()
      ->type_name("KIND|FILE|NAME");
  command->add_option("--developed", a->developed, "How a remembered film is developed")
      ->type_name("TEXT");
  command->add_option("--ledger", a->ledger, "The ledger's file; default: in the data folder")
      ->type_name("FILE");
  command->add_option("--film-speed", a->film_speed, "The film's own ISO speed")
      ->check(film_speed())
      ->type_name("N");
  command->add_option("--out", a->out, "Write it as a film profile")->type_name("FILE");
  command->add_option("--plot", a->plot, "Draw the curve (SVG)")->type_name("FILE");
  add_json_option(*command, a->json);
  command->footer("  basefog film bw --film-speed 400 --plot curve.svg\n");
  command->callback([a, &status] { status = run_film(*a); });
}

void add_calibrate_film_command(CLI::App& calibrate, int& status) {
  CLI::App* command = calibrate.add_subcommand(
      "film", "Measure a film and its development from a series of known exposures, for --film");
  const auto a = std::make_shared<CalibrateFilmArguments>();
  command
      ->add_option("input", a->inputs,
                   "Scans of one evenly lit subject, with --log; or a table of log exposure and "
                   "densities (.csv)")
      ->type_name("FILE|FOLDER")
      ->required();
  command->add_option("--log", a->log, "The exposures' log")->type_name("FILE");
  command->add_option("--film", a->film, "The film's kind")
      ->type_name(film_kind_words("|"))
      ->capture_default_str();
  command->add_option("--film-speed", a->film_speed, "The film's own ISO speed")
      ->check(film_speed())
      ->type_name("N");
  command->add_option("--response", a->response, "How the scans' codes stand for light")
      ->type_name("KIND|FILE");
  command->add_flag("--trusted-exposures", a->trusted_exposures,
                    "Exposures are known apart from the camera's own meter");
  command
      ->add_option("--exposure-scatter", a->exposure_scatter,
                   "How far each of the scans' exposures may be off its mark, stops, one standard "
                   "deviation")
      ->check(CLI::Range(0.0, 1.0))
      ->type_name("STOPS")
      ->capture_default_str();
  command->add_option("--out", a->out, "The film profile to write")->type_name("FILE");
  command->add_option("--plot", a->plot, "Draw the curve (SVG)")->type_name("FILE");
  command->footer(
      "  basefog calibrate film series/ --log series.csv --out myfilm.toml\n"
      "  basefog review scans/ --log log.csv --film myfilm.toml\n");
  command->callback([a, &status] { status = run_calibrate_film(*a); });
}

}  // namespace basefog::cli

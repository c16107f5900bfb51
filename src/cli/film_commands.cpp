// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/film_commands.hpp"

#include <iostream>

#include "basefog/analysis.hpp"
#include "basefog/error.hpp"
#include "basefog/film_report.hpp"
#include "basefog/film_test.hpp"
#include "basefog/film_test_frames.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "cli/progress.hpp"

namespace basefog::cli {
namespace {

bool is_table(const std::filesystem::path& file) { return file.extension() == ".csv"; }

/// calibrate_film does not know what file its steps came from.
FilmTest calibrate(const FilmTestSeries& series, FilmKind kind, const std::filesystem::path& file) {
  try {
    return calibrate_film(series, kind);
  } catch (const InputError& error) {
    if (!error.path().empty()) throw;
    throw InputError(error.code(), file, error.problem(), error.next_step());
  }
}

void write_results(const CalibrateFilmArguments& arguments, FilmTest test,
                   const FilmTestSeries& series) {
  if (arguments.film_speed) test.profile.iso_speed = FilmSpeed(*arguments.film_speed);
  write_film_test(std::cout, test);
  if (arguments.out) {
    write_output(*arguments.out, [&](std::ostream& out) { write_film_profile(out, test.profile); });
  }
  if (arguments.plot) {
    write_output(*arguments.plot,
                 [&](std::ostream& out) { out << film_plot(test.profile, &series, &test); });
  }
}

int calibrate_from_table(const CalibrateFilmArguments& arguments, FilmKind kind) {
  const std::filesystem::path& table = arguments.inputs.front();
  const std::vector<FilmTestSeries> all =
      read_densitometer_table(table, kind, arguments.trusted_exposures);
  if (all.size() == 1) {
    write_results(arguments, calibrate(all.front(), kind, table), all.front());
    return kAllMeasured;
  }
  if (arguments.out || arguments.plot) {
    throw InputError(ErrorCode::usage, table, "holds several developments, and a profile is of one",
                     "leave that one's column alone in the table");
  }
  write_developments(std::cout, compare_developments(all, kind));
  return kAllMeasured;
}

int calibrate_from_scans(const CalibrateFilmArguments& arguments, const FilmProfile& film) {
  if (!arguments.log) {
    throw InputError(ErrorCode::usage, arguments.inputs.front(),
                     "needs the log of the test's exposures", "name it with --log FILE");
  }
  ReviewOptions options;
  options.log = arguments.log;
  options.film = film;
  if (arguments.film_speed) options.film_speed = FilmSpeed(*arguments.film_speed);
  if (!arguments.response.empty()) options.read.response = parse_response(arguments.response);
  options.progress = Progress(false);
  const FilmTestFrames frames = film_test_from_frames(
      review(arguments.inputs, options), {.trusted_meter = arguments.trusted_exposures});
  for (const std::string& note : frames.notes) std::cerr << "basefog: " << note << '\n';
  write_results(arguments, calibrate(frames.series, film.kind, arguments.inputs.front()),
                frames.series);
  return kAllMeasured;
}

}  // namespace

FilmProfile named_film(const std::string& name) {
  constexpr FilmSpeed kToBeStated{100};
  if (name == "bw") return generic_black_and_white(kToBeStated);
  if (name == "colour") return generic_colour_negative(kToBeStated);
  if (name == "chromogenic") return generic_chromogenic(kToBeStated);
  return read_film_profile(name);
}

int run_film(const FilmArguments& arguments) {
  FilmProfile film = named_film(arguments.film);
  if (arguments.film_speed) film.iso_speed = FilmSpeed(*arguments.film_speed);
  write_film(std::cout, film);
  if (arguments.plot) {
    check_not_an_input(*arguments.plot, {arguments.film});
    write_output(*arguments.plot, [&](std::ostream& out) { out << film_plot(film); });
  }
  return kAllMeasured;
}

int run_calibrate_film(const CalibrateFilmArguments& arguments) {
  std::vector<std::filesystem::path> inputs = arguments.inputs;
  if (arguments.log) inputs.push_back(*arguments.log);
  for (const auto& output : {arguments.out, arguments.plot}) {
    if (output) check_not_an_input(*output, inputs);
  }
  const FilmProfile film = named_film(arguments.film);
  return arguments.inputs.size() == 1 && is_table(arguments.inputs.front())
             ? calibrate_from_table(arguments, film.kind)
             : calibrate_from_scans(arguments, film);
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/review_command.hpp"

#include <algorithm>
#include <iostream>

#include "basefog/analysis.hpp"
#include "basefog/camera.hpp"
#include "basefog/report.hpp"
#include "cli/exit_status.hpp"
#include "cli/film_commands.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
namespace {

ReviewOptions as_options(const ReviewArguments& arguments) {
  ReviewOptions options;
  if (!arguments.response.empty()) options.read.response = parse_response(arguments.response);
  options.read.light = arguments.light;
  options.base_scan = arguments.base_scan;
  options.log = arguments.log;
  options.match = arguments.match;
  if (arguments.camera) options.camera = read_camera(*arguments.camera);
  if (!arguments.film.empty()) options.film = named_film(arguments.film);
  if (arguments.film_speed) options.film_speed = FilmSpeed(*arguments.film_speed);
  options.aim_k = arguments.aim_k;
  options.aim_q = arguments.aim_q;
  options.reading.pattern = arguments.metering;
  options.threads = arguments.threads;
  return options;
}

std::vector<std::filesystem::path> all_inputs(const ReviewArguments& arguments) {
  std::vector<std::filesystem::path> inputs = arguments.scans;
  if (arguments.log) inputs.push_back(*arguments.log);
  if (arguments.camera) inputs.push_back(*arguments.camera);
  if (arguments.light) inputs.push_back(*arguments.light);
  if (arguments.base_scan) inputs.push_back(*arguments.base_scan);
  return inputs;
}

/// The match file to correct; never over the one that was given, which may lie among the results.
void write_match_to_correct(const std::filesystem::path& file, const ReviewArguments& arguments,
                            const Analysis& analysis) {
  std::error_code error;
  if (!analysis.matching) return;
  if (arguments.match && std::filesystem::equivalent(*arguments.match, file, error)) return;
  write_output(file, [&](std::ostream& out) { write_match_file(out, analysis); });
}

void write_all(const ReviewArguments& arguments, const Analysis& analysis) {
  const Outputs& outputs = arguments.outputs;
  const auto json = [&](std::ostream& out) { write_json(out, analysis); };
  const auto csv = [&](std::ostream& out) { write_csv(out, analysis); };
  const auto html = [&](std::ostream& out) { write_html(out, analysis); };
  if (outputs.json) write_output(*outputs.json, json);
  if (outputs.csv) write_output(*outputs.csv, csv);
  if (outputs.html) write_output(*outputs.html, html);
  if (outputs.folder) {
    write_output(*outputs.folder / "report.html", html);
    write_output(*outputs.folder / "review.json", json);
    write_output(*outputs.folder / "frames.csv", csv);
    write_match_to_correct(*outputs.folder / "match.csv", arguments, analysis);
  }
}

/// A blank frame is dealt with: it was seen to hold no picture.
ExitStatus status_of(const Analysis& analysis) {
  const auto count = [&](auto... states) {
    return std::count_if(
        analysis.frames.begin(), analysis.frames.end(),
        [&](const FrameResult& frame) { return ((frame.state == states) || ...); });
  };
  if (count(FrameState::measured) == 0) return kNothingMeasured;
  return count(FrameState::measured, FrameState::blank) ==
                 static_cast<std::ptrdiff_t>(analysis.frames.size())
             ? kAllMeasured
             : kSomeNotMeasured;
}

}  // namespace

int run_review(const ReviewArguments& arguments) {
  check_outputs(arguments.outputs, all_inputs(arguments));
  for (const std::filesystem::path& file : arguments.outputs.files()) {
    if (arguments.match) check_not_an_input(file, {*arguments.match});
  }
  ReviewOptions options = as_options(arguments);
  options.progress = Progress(arguments.quiet);
  const Analysis analysis = review(arguments.scans, options);
  write_all(arguments, analysis);
  if (!arguments.outputs.to_stdout()) write_table(std::cout, analysis, terminal_style());
  return status_of(analysis);
}

}  // namespace basefog::cli

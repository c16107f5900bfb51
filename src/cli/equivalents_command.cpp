// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/equivalents_command.hpp"

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/report/equivalents_table.hpp"
#include "cli/exit_status.hpp"
#include "cli/option_checks.hpp"
#include "cli/outputs.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"
#include "log/values.hpp"

namespace basefog::cli {
namespace {

log::ShotSettings settings_of(const EquivalentsArguments& arguments) {
  std::string text;
  for (const std::string& word : arguments.settings) text += (text.empty() ? "" : " ") + word;
  const log::Written<log::ShotSettings> written = log::parse_settings(text);
  if (!written.value || !written.value->shutter || !written.value->aperture) {
    throw InputError(ErrorCode::usage, text, "is no shutter time and f-number",
                     "write them as on the camera: 1/125 f/8");
  }
  return *written.value;
}

Stops stops_of(const std::string& text) {
  if (text.empty()) return Stops(0);
  const log::Written<Stops> written = log::parse_compensation(text);
  if (!written.value) {
    throw InputError(ErrorCode::usage, text, "is no number of stops from -10 to +10",
                     "write it as +1, -2/3 or 1.5");
  }
  return *written.value;
}

}  // namespace

int run_equivalents(const EquivalentsArguments& given) {
  EquivalentsArguments arguments = given;
  take_setting(arguments.camera, "camera", settings_for({}, {}));
  const log::ShotSettings settings = settings_of(arguments);
  Inputs inputs;
  if (arguments.camera) inputs.files.push_back(*arguments.camera);
  if (arguments.json) check_outputs({*arguments.json}, inputs);
  const log::Camera camera =
      arguments.camera ? log::read_camera(*arguments.camera) : log::default_camera();
  log::LogRow row;
  row.lens = arguments.lens;
  row.focal_length_mm = arguments.focal_length;
  log::EquivalentQuestion question{.shutter = *settings.shutter,
                                   .aperture = *settings.aperture,
                                   .wanted = stops_of(arguments.stops),
                                   .lens = log::lens_of(camera, row),
                                   .focal_length_mm = arguments.focal_length};
  if (question.lens == nullptr && !arguments.lens.empty()) {
    throw InputError(ErrorCode::usage, arguments.lens, "is no lens of this camera",
                     "name one as in the camera file");
  }
  const std::vector<log::EquivalentSettings> found = log::equivalent_settings(camera, question);
  write_answer(
      arguments.json,
      [&](std::ostream& out) { report::write_equivalents_json(out, question, found); },
      [&](std::ostream& out) {
        report::write_equivalents_table(out, question, found, terminal_style(arguments.colour));
      });
  return found.empty() ? kSomeNotMeasured : kAllMeasured;
}

void add_equivalents_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand(
      "equivalents", "List the marked settings that give an exposure, and what each costs");
  const auto a = std::make_shared<EquivalentsArguments>();
  command->add_option("settings", a->settings, "Shutter time and f-number: 1/125 f/8")
      ->required()
      ->expected(1, 2);
  command->add_option("--stops", a->stops, "How much more (+) or less (-) exposure")
      ->type_name("STOPS");
  command->add_option("--camera", a->camera, "Camera file with the marks to choose from")
      ->type_name("FILE");
  command->add_option("--lens", a->lens, "Which of its lenses")->type_name("NAME");
  command->add_option("--focal-length", a->focal_length, "Focal length in mm, to hold it by hand")
      ->check(positive_number())
      ->type_name("MM");
  add_json_option(*command, a->json);
  add_colour_option(*command, a->colour);
  command->footer(
      "Without a camera file, full stops from 1 s to 1/1000 and from f/1.4 to f/22.\n\n"
      "  basefog equivalents 1/125 f/8 --stops +1 --camera black.toml\n");
  command->callback([a, &status] { status = run_equivalents(*a); });
}

}  // namespace basefog::cli

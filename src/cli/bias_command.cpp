// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/bias_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <map>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/ledger/ledger.hpp"
#include "basefog/report/bias_table.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "cli/settings.hpp"
#include "cli/terminal.hpp"

namespace basefog::cli {
namespace {

std::string names_of(const std::map<std::string, std::vector<meter::RememberedRoll>>& cameras) {
  std::string names;
  for (const auto& [name, rolls] : cameras) names += (names.empty() ? "\"" : ", \"") + name + "\"";
  return names;
}

}  // namespace

std::filesystem::path ledger_path(std::optional<std::filesystem::path> ledger) {
  take_setting(ledger, "ledger", settings_for({}, {}));
  return ledger ? *ledger : ledger::default_ledger_path();
}

std::map<std::string, std::vector<meter::RememberedRoll>> rolls_by_camera(
    const std::filesystem::path& ledger, const std::optional<std::string>& camera) {
  std::map<std::string, std::vector<meter::RememberedRoll>> cameras;
  for (meter::RememberedRoll& roll : ledger::Ledger(ledger, ledger::Ledger::Access::read).rolls()) {
    cameras[roll.camera].push_back(std::move(roll));
  }
  if (cameras.empty()) {
    throw InputError(ErrorCode::not_found, ledger, "holds no rolls",
                     "run basefog review with --remember first");
  }
  if (camera && !cameras.contains(*camera)) {
    throw InputError(ErrorCode::usage, ledger, "has no rolls of a camera \"" + *camera + "\"",
                     "name one of " + names_of(cameras));
  }
  return cameras;
}

int run_bias(const BiasArguments& arguments) {
  const std::filesystem::path path = ledger_path(arguments.ledger);
  for (const auto& output : {arguments.json, arguments.plot}) {
    if (output) check_outputs({*output}, {.files = {path}});
  }
  const auto cameras = rolls_by_camera(path, arguments.camera);
  if (arguments.plot && !arguments.camera && cameras.size() > 1) {
    throw InputError(ErrorCode::usage, "--plot", "is of one camera, and the ledger has several",
                     "say which with --camera: " + names_of(cameras));
  }
  std::vector<roll::CameraReview> reviews;
  for (const auto& [name, rolls] : cameras) {
    if (!arguments.camera || *arguments.camera == name) {
      reviews.push_back(roll::review_camera(rolls));
    }
  }
  const auto tables = [&](std::ostream& out) {
    for (std::size_t i = 0; i < reviews.size(); ++i) {
      if (i > 0) out << '\n';
      report::write_bias_table(out, reviews[i], terminal_style(arguments.colour));
    }
  };
  write_answer(
      arguments.json, [&](std::ostream& out) { report::write_bias_json(out, reviews); }, tables);
  if (arguments.plot) {
    const auto& rolls = arguments.camera ? cameras.at(*arguments.camera) : cameras.begin()->second;
    write_output(*arguments.plot, [&](std::ostream& out) {
      out << report::bias_plot(rolls, reviews.front().history);
    });
  }
  return kAllMeasured;
}

int run_ledger(const LedgerArguments& arguments) {
  const std::filesystem::path path = ledger_path(arguments.ledger);
  ledger::Ledger ledger(path, ledger::Ledger::Access::read);
  std::vector<meter::RememberedRoll> rolls = ledger.rolls();
  if (!arguments.remove) {
    std::erase_if(rolls, [&](const meter::RememberedRoll& roll) {
      return arguments.camera && *arguments.camera != roll.camera;
    });
    if (arguments.json) check_outputs({*arguments.json}, {.files = {path}});
    write_answer(
        arguments.json, [&](std::ostream& out) { report::write_ledger_json(out, rolls); },
        [&](std::ostream& out) { report::write_ledger_table(out, rolls, terminal_style()); });
    return kAllMeasured;
  }
  std::vector<std::string> owners;
  for (const meter::RememberedRoll& roll : rolls) {
    const bool asked = !arguments.camera || *arguments.camera == roll.camera;
    if (asked && roll.name == *arguments.remove) owners.push_back(roll.camera);
  }
  if (owners.empty()) {
    throw InputError(ErrorCode::usage, path, "has no roll \"" + *arguments.remove + "\"",
                     "see basefog ledger for what it holds");
  }
  if (owners.size() > 1) {
    throw InputError(ErrorCode::usage, path, "has rolls of that name from several cameras",
                     "say which with --camera");
  }
  ledger.forget(*arguments.remove, owners.front());
  return kAllMeasured;
}

void add_bias_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("bias", "Say what all remembered rolls show of a camera's meter");
  const auto a = std::make_shared<BiasArguments>();
  command->add_option("--camera", a->camera, "Only this camera, by its name in file or log")
      ->type_name("NAME");
  command->add_option("--ledger", a->ledger, "The ledger's file; default: in the data folder")
      ->type_name("FILE");
  command->add_option("--plot", a->plot, "Draw the rolls and the bias now (SVG)")
      ->type_name("FILE");
  add_json_option(*command, a->json);
  add_colour_option(*command, a->colour);
  command->footer(
      "Many rolls tell apart what one cannot: the meter from the film and its development, a "
      "failing battery from a slow speed. Rolls come into the ledger with basefog review "
      "--remember.\n\n  basefog bias --camera \"the black one\"\n");
  command->callback([a, &status] { status = run_bias(*a); });
}

void add_ledger_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("ledger", "List the remembered rolls, or remove one");
  const auto a = std::make_shared<LedgerArguments>();
  command->add_option("--remove", a->remove, "Forget this roll")->type_name("ROLL");
  command->add_option("--camera", a->camera, "This camera's rolls only")->type_name("NAME");
  command->add_option("--ledger", a->ledger, "The ledger's file; default: in the data folder")
      ->type_name("FILE");
  add_json_option(*command, a->json);
  command->footer("  basefog ledger\n  basefog ledger --remove roll7\n");
  command->callback([a, &status] { status = run_ledger(*a); });
}

}  // namespace basefog::cli

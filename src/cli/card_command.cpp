// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/card_command.hpp"

#include <CLI/CLI.hpp>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/print/pocket_card.hpp"
#include "basefog/report/advice_wording.hpp"
#include "basefog/roll/camera_review.hpp"
#include "cli/bias_command.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "cli/progress.hpp"
#include "cli/settings.hpp"

namespace basefog::cli {

namespace {

void write_card(const std::filesystem::path& file, const print::PocketCard& card) {
  write_output(file, [&](std::ostream& out) {
    file.extension() == ".svg" ? print::write_pocket_card_svg(out, card)
                               : print::write_pocket_card_pdf(out, card);
  });
}

/// Of a camera's remembered rolls, all or those on one film.
int card_from_ledger(const CardArguments& arguments) {
  const std::filesystem::path path = ledger_path(arguments.roll.ledger);
  check_outputs({arguments.out}, {.files = {path}});
  std::vector<meter::RememberedRoll> rolls =
      rolls_by_camera(path, arguments.remembered).at(*arguments.remembered);
  if (arguments.remembered_film) {
    std::erase_if(rolls, [&](const meter::RememberedRoll& roll) {
      return roll.film != *arguments.remembered_film;
    });
  }
  if (rolls.empty()) {
    throw InputError(ErrorCode::usage, path,
                     "has no roll of that camera on \"" + *arguments.remembered_film + "\"",
                     "see basefog ledger for what it holds");
  }
  const roll::CameraReview review = roll::review_camera(rolls);
  if (!review.next_roll) {
    throw InputError(ErrorCode::usage, path, "holds too few frames of that camera for a card",
                     "remember another roll with basefog review --remember");
  }
  write_card(arguments.out, print::card_of(review));
  return kAllMeasured;
}

int card_of_roll(CardArguments arguments) {
  take_settings(arguments.roll, settings_for(arguments.roll.log, arguments.roll.scans));
  check_outputs({arguments.out}, inputs_of(arguments.roll));
  roll::ReviewOptions options = as_review_options(arguments.roll);
  options.progress = Progress(arguments.roll.quiet, arguments.roll.verbose);
  const roll::Analysis analysis = roll::review(arguments.roll.scans, options);
  if (!analysis.next_roll) {
    throw InputError(ErrorCode::usage, arguments.out,
                     "would be empty, for too few frames with settings say what the meter does",
                     "give the roll's log with --log");
  }
  if (analysis.next_roll->state == plan::PlanState::held_up) {
    throw InputError(ErrorCode::usage, arguments.out, "would be a guess",
                     report::advice_words(analysis.advice.front()).text());
  }
  write_card(arguments.out, print::card_of(analysis));
  say_unreadable(analysis);
  return exit_status_of(analysis);
}

}  // namespace

int run_card(const CardArguments& arguments) {
  const std::filesystem::path ending = arguments.out.extension();
  if (ending != ".svg" && ending != ".pdf") {
    throw InputError(ErrorCode::usage, arguments.out, "is neither .svg nor .pdf",
                     "name a .pdf file to print, or a .svg file to print or to change");
  }
  if (arguments.remembered.has_value() == !arguments.roll.scans.empty()) {
    throw InputError(ErrorCode::usage, "card",
                     "takes scans, or a camera in the ledger with --remembered", "name either");
  }
  return arguments.remembered ? card_from_ledger(arguments) : card_of_roll(arguments);
}

void add_card_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("card", "Print a card for the camera bag: what to dial and allow for");
  const auto a = std::make_shared<CardArguments>();
  command->add_option("--out", a->out, "The card, .pdf or .svg")
      ->required()
      ->type_name("FILE")
      ->group("Card");
  command->add_option("--remembered", a->remembered, "Instead of scans: a camera in the ledger")
      ->type_name("CAMERA")
      ->group("Ledger");
  command->add_option("--on", a->remembered_film, "Only its rolls on this film")
      ->type_name("FILM")
      ->needs("--remembered")
      ->group("Ledger");
  command->add_option("--ledger", a->roll.ledger, "The ledger's file; default: in the data folder")
      ->type_name("FILE")
      ->group("Ledger");
  add_roll_options(*command, a->roll)->required(false);
  command->footer(
      "The card has the size of a bank card (85.6 x 54 mm); print it at 100 %. It holds for the "
      "film, the development and the dates that stand on it. With --remembered it is learned from "
      "all remembered rolls of a camera, as named in basefog ledger, and needs no scans.\n\n"
      "  basefog card scans/roll7 --log roll7.csv --out card.pdf\n");
  command->callback([a, &status] { status = run_card(*a); });
}

}  // namespace basefog::cli

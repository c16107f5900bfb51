// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/card_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/print/pocket_card.hpp"
#include "basefog/report/report.hpp"
#include "cli/exit_status.hpp"
#include "cli/outputs.hpp"
#include "cli/progress.hpp"
#include "cli/settings.hpp"

namespace basefog::cli {

int run_card(const CardArguments& given) {
  CardArguments arguments = given;
  take_settings(arguments.roll, settings_for(given.roll.log, given.roll.scans));
  const std::filesystem::path ending = arguments.out.extension();
  if (ending != ".svg" && ending != ".pdf") {
    throw InputError(ErrorCode::usage, arguments.out, "is neither .svg nor .pdf",
                     "name a .pdf file to print, or a .svg file to print or to change");
  }
  check_outputs({arguments.out}, inputs_of(arguments.roll));
  roll::ReviewOptions options = as_review_options(arguments.roll);
  options.progress = Progress(arguments.roll.quiet, arguments.roll.verbose);
  const roll::Analysis analysis = roll::review(arguments.roll.scans, options);
  if (!analysis.meter || !analysis.meter->bias) {
    throw InputError(ErrorCode::usage, arguments.out,
                     "would be empty, for too few frames with settings say what the meter does",
                     "give the roll's log with --log");
  }
  write_output(arguments.out, [&](std::ostream& out) {
    ending == ".svg" ? print::write_pocket_card_svg(out, analysis)
                     : print::write_pocket_card_pdf(out, analysis);
  });
  say_unreadable(analysis);
  return exit_status_of(analysis);
}

void add_card_command(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("card", "Print a card for the camera bag: what to dial and allow for");
  const auto a = std::make_shared<CardArguments>();
  command->add_option("--out", a->out, "The card, .pdf or .svg")
      ->required()
      ->type_name("FILE")
      ->group("Card");
  add_roll_options(*command, a->roll);
  command->footer(
      "The card has the size of a bank card (85.6 x 54 mm); print it at 100 %. It holds for the "
      "film, the development and the dates that stand on it.\n\n"
      "  basefog card scans/roll7 --log roll7.csv --out card.pdf\n");
  command->callback([a, &status] { status = run_card(*a); });
}

}  // namespace basefog::cli

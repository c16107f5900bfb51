// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/proof_command.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <map>
#include <memory>
#include <vector>

#include "basefog/core/error.hpp"
#include "cli/exit_status.hpp"
#include "cli/option_checks.hpp"
#include "cli/outputs.hpp"
#include "cli/progress.hpp"
#include "cli/settings.hpp"
#include "report/markup.hpp"

namespace basefog::cli {
namespace {

const std::map<std::string, ProofPrints> kPrints = {{"straight", ProofPrints::straight},
                                                    {"corrected", ProofPrints::corrected},
                                                    {"both", ProofPrints::both}};
const std::map<std::string, print::ProofFormat> kFormats = {{"jpeg", print::ProofFormat::jpeg},
                                                            {"tiff", print::ProofFormat::tiff}};

std::vector<print::ProofStyle> styles_of(ProofPrints prints) {
  if (prints == ProofPrints::straight) return {print::ProofStyle::straight};
  if (prints == ProofPrints::corrected) return {print::ProofStyle::corrected};
  return {print::ProofStyle::straight, print::ProofStyle::corrected};
}

const char* word_of(print::ProofStyle style) {
  return style == print::ProofStyle::straight ? "straight" : "corrected";
}

std::filesystem::path sheet_file(const ProofArguments& arguments, print::ProofStyle style) {
  return arguments.out / (std::string("contact_") + word_of(style) +
                          (arguments.proof.format == print::ProofFormat::jpeg ? ".jpg" : ".tif"));
}

}  // namespace

int run_proof(const ProofArguments& given) {
  ProofArguments arguments = given;
  take_settings(arguments.roll, settings_for(given.roll.log, given.roll.scans));
  const RollArguments& roll = arguments.roll;
  if (const std::string problem = arguments.proof.validate(); !problem.empty()) {
    throw InputError(ErrorCode::usage, arguments.out, "cannot be written: " + problem,
                     "see basefog proof --help");
  }
  check_outputs({sheet_file(arguments, print::ProofStyle::straight)}, inputs_of(roll));
  roll::ReviewOptions options = as_review_options(roll);
  options.progress = Progress(roll.quiet, roll.verbose);
  const roll::Analysis analysis = roll::review(roll.scans, options);

  for (print::ProofStyle style : styles_of(arguments.prints)) {
    print::ProofOptions proof = arguments.proof;
    proof.style = style;
    print::write_contact_sheet(sheet_file(arguments, style), analysis, proof);
    if (arguments.sheet_only) continue;
    const std::filesystem::path folder = arguments.out / word_of(style);
    const std::size_t written = print::write_proofs(folder, analysis, proof).size();
    if (roll.quiet) continue;
    std::printf("%zu of %zu frames printed %s, in %s\n", written, analysis.frames.size(),
                word_of(style), report::printable(folder.string()).c_str());
  }
  say_unreadable(analysis);
  return exit_status_of(analysis);
}

void add_proof_command(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("proof", "Print the frames of a roll as positive proofs");
  const auto a = std::make_shared<ProofArguments>();
  command->add_option("--out", a->out, "The folder for proofs and contact sheets")
      ->required()
      ->type_name("FOLDER")
      ->group("Proofs");
  command
      ->add_option("--prints", a->prints,
                   "straight: one exposure for all, so that errors show; corrected: as each "
                   "could be printed")
      ->transform(CLI::CheckedTransformer(kPrints))
      ->type_name("straight|corrected|both")
      ->default_str("both")
      ->group("Proofs");
  command->add_option("--format", a->proof.format, "8-bit JPEG, or 16-bit TIFF")
      ->transform(CLI::CheckedTransformer(kFormats))
      ->type_name("jpeg|tiff")
      ->default_str("jpeg")
      ->group("Proofs");
  command->add_option("--long-side", a->proof.long_side, "Longest side in pixels, 64 to 3000")
      ->check(CLI::Range(64, 3000))
      ->type_name("N")
      ->capture_default_str()
      ->group("Proofs");
  command->add_option("--quality", a->proof.jpeg_quality, "Of the JPEG, 1 to 100")
      ->check(CLI::Range(1, 100))
      ->type_name("N")
      ->capture_default_str()
      ->group("Proofs");
  command->add_flag("--sheet-only", a->sheet_only, "The contact sheets alone")->group("Proofs");
  add_roll_options(*command, a->roll);
  command->footer(
      "Proofs are for looking at: neutral positives from the measured densities, not finished "
      "prints. Colour is balanced on the film's base and on the roll as a whole, never frame by "
      "frame. Files are called as their scans, in folders straight and corrected, and carry their "
      "profile (sRGB, or gray with its tone curve). Nothing is enlarged.\n\n"
      "  basefog proof scans/roll7 --out roll7-proofs --format tiff\n");
  command->callback([a, &status] { status = run_proof(*a); });
}

}  // namespace basefog::cli

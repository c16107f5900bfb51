// SPDX-License-Identifier: GPL-3.0-or-later
#include <CLI/CLI.hpp>
#include <cmath>
#include <cstdio>

#include "test_folder.hpp"
#include "validation/bracket_study.hpp"
#include "validation/grey_card_study.hpp"

namespace {

using namespace validation;  // NOLINT: a program on this alone

struct Arguments {
  GreyCardStudy card;
  BracketStudy bracket;
  bool each = false;
  std::filesystem::path folder = basefog::test::test_folder();
};

/// The options that both studies have.
template <typename Study>
void add_options(CLI::App& command, Study& study, Arguments& arguments) {
  command.add_option("--rolls", study.rolls);
  command.add_option("--seed", study.seed);
  command.add_option("--scatter", study.scatter, "of each exposure about its mark, stops");
  command.add_flag("--colour", study.colour);
  command.add_flag("--each", arguments.each, "also a line a roll");
  command.add_option("--folder", arguments.folder, "leaves the last roll's scans and log there");
}

void print_cards(const Arguments& arguments) {
  int failed = 0, speed_near = 0, speed_held = 0, contrasts = 0, near = 0, held = 0;
  double speed_squares = 0, contrast_squares = 0;
  for (const GreyCardOutcome& o : run(arguments.card, arguments.folder)) {
    if (!o.failure.empty()) {
      ++failed;
      std::printf("failed: %s\n", o.failure.c_str());
      continue;
    }
    speed_near += std::abs(o.speed_error) <= 0.05 ? 1 : 0;
    speed_held += o.speed_held ? 1 : 0;
    speed_squares += o.speed_error * o.speed_error;
    for (std::size_t l = 0; l < o.contrast_error.size(); ++l) {
      ++contrasts;
      near += std::abs(o.contrast_error[l]) <= 0.02 ? 1 : 0;
      held += o.contrast_held[l] ? 1 : 0;
      contrast_squares += o.contrast_error[l] * o.contrast_error[l];
    }
    if (arguments.each) {
      std::printf("%d steps, speed %+.3f%s, contrast", o.steps, o.speed_error,
                  o.speed_held ? "" : " (not held)");
      for (std::size_t l = 0; l < o.contrast_error.size(); ++l) {
        std::printf(" %+.3f%s", o.contrast_error[l], o.contrast_held[l] ? "" : " (not held)");
      }
      std::printf("\n");
    }
  }
  const int tests = arguments.card.rolls - failed;
  std::printf("%d tests, %d failed\n", arguments.card.rolls, failed);
  if (tests == 0) return;
  std::printf("speed: rms %.3f stop, within 0.05 in %.0f %%, held by %.0f %% of intervals\n",
              std::sqrt(speed_squares / tests), 100.0 * speed_near / tests,
              100.0 * speed_held / tests);
  std::printf("contrast: rms %.1f %%, within 2 %% in %.0f %%, held by %.0f %% of intervals\n",
              100 * std::sqrt(contrast_squares / contrasts), 100.0 * near / contrasts,
              100.0 * held / contrasts);
}

void print_brackets(const Arguments& arguments) {
  int found = 0, held = 0, near4 = 0, near6 = 0;
  double squares = 0, width = 0;
  for (const BracketOutcome& o : run(arguments.bracket, arguments.folder)) {
    const double error = o.factor / o.truth - 1;
    const bool holds = o.low <= o.truth && o.truth <= o.high;
    if (arguments.each) {
      std::printf(
          "truth %.3f found %.3f (%.3f to %.3f) %+.1f %% %s; %d series, %d used, %d frames "
          "left out; %s\n",
          o.truth, o.factor, o.low, o.high, 100 * error,
          o.found ? (holds ? "" : "NOT HELD") : "NOT FOUND", o.series, o.used, o.left_out,
          o.scenes.c_str());
    }
    if (!o.found) continue;
    ++found;
    held += holds ? 1 : 0;
    near4 += std::abs(error) <= 0.04 ? 1 : 0;
    near6 += std::abs(error) <= 0.06 ? 1 : 0;
    squares += error * error;
    width += (o.high - o.low) / o.truth;
  }
  std::printf("%d rolls, contrast found on %d\n", arguments.bracket.rolls, found);
  if (found == 0) return;
  std::printf(
      "rms %.1f %%, within 4 %% in %.0f %%, within 6 %% in %.0f %%, held by %.0f %% of "
      "intervals, mean width %.1f %%\n",
      100 * std::sqrt(squares / found), 100.0 * near4 / found, 100.0 * near6 / found,
      100.0 * held / found, 100 * width / found);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("How true film tests and brackets are.");
  app.require_subcommand(1);
  Arguments arguments;
  CLI::App* card = app.add_subcommand("card", "film tests by a grey card");
  add_options(*card, arguments.card, arguments);
  card->add_flag("--trusted", arguments.card.trusted, "exposures by a meter that is right");
  CLI::App* bracket = app.add_subcommand("bracket", "brackets on ordinary rolls");
  add_options(*bracket, arguments.bracket, arguments);
  bracket->add_option("--brackets", arguments.bracket.brackets, "on each roll");
  bracket->add_option("--panoramas", arguments.bracket.panoramas,
                      "folder of .exr and .hdr; none: made-up ones");
  bracket->add_option("--kept", arguments.bracket.kept,
                      "folder: what was measured is kept there, and taken from there again");
  CLI11_PARSE(app, argc, argv);
  try {
    if (card->parsed()) print_cards(arguments);
    if (bracket->parsed()) print_brackets(arguments);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "film_studies: %s\n", error.what());
    return 2;
  }
  return 0;
}

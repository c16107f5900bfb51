// SPDX-License-Identifier: GPL-3.0-or-later
// film_studies card|bracket [--rolls N] [--seed N] [--scatter STOPS] [--colour] [--trusted]
//   [--brackets N] [--panoramas DIR] [--each] [--folder DIR] [--kept DIR]: how true film tests and
//   brackets are. --folder leaves the last roll's scans and log there; --kept leaves what was
//   measured of all brackets there, and takes it from there the next time, within seconds.
#include <cmath>
#include <cstdio>
#include <cstring>
#include <stdexcept>
#include <string>

#include "test_folder.hpp"
#include "validation/bracket_study.hpp"
#include "validation/grey_card_study.hpp"

namespace {

using namespace validation;  // NOLINT: a program on this alone

struct Words {
  std::string study;
  GreyCardStudy card;
  BracketStudy bracket;
  bool each = false;
  std::filesystem::path folder = basefog::test::test_folder();
};

Words parse(int argc, char** argv) {
  if (argc < 2) throw std::invalid_argument("which study: card or bracket");
  Words words;
  words.study = argv[1];
  for (int i = 2; i < argc; ++i) {
    const std::string name = argv[i];
    const auto value = [&] {
      if (++i >= argc) throw std::invalid_argument(name + " needs a value");
      return std::string(argv[i]);
    };
    if (name == "--rolls") {
      words.card.rolls = words.bracket.rolls = std::stoi(value());
    } else if (name == "--seed") {
      words.card.seed = words.bracket.seed = std::stoull(value());
    } else if (name == "--scatter") {
      words.card.scatter = words.bracket.scatter = std::stod(value());
    } else if (name == "--brackets") {
      words.bracket.brackets = std::stoi(value());
    } else if (name == "--panoramas") {
      words.bracket.panoramas = value();
    } else if (name == "--colour") {
      words.card.colour = words.bracket.colour = true;
    } else if (name == "--trusted") {
      words.card.trusted = true;
    } else if (name == "--kept") {
      words.bracket.kept = value();
    } else if (name == "--folder") {
      words.folder = value();
    } else if (name == "--each") {
      words.each = true;
    } else {
      throw std::invalid_argument("unknown word " + name);
    }
  }
  return words;
}

void print_cards(const Words& words) {
  int failed = 0, speed_near = 0, speed_held = 0, contrasts = 0, near = 0, held = 0;
  double speed_squares = 0, contrast_squares = 0;
  for (const GreyCardOutcome& o : run(words.card, words.folder)) {
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
    if (words.each) {
      std::printf("%d steps, speed %+.3f%s, contrast", o.steps, o.speed_error,
                  o.speed_held ? "" : " (not held)");
      for (std::size_t l = 0; l < o.contrast_error.size(); ++l) {
        std::printf(" %+.3f%s", o.contrast_error[l], o.contrast_held[l] ? "" : " (not held)");
      }
      std::printf("\n");
    }
  }
  const int tests = words.card.rolls - failed;
  std::printf("%d tests, %d failed\n", words.card.rolls, failed);
  if (tests == 0) return;
  std::printf("speed: rms %.3f stop, within 0.05 in %.0f %%, held by %.0f %% of intervals\n",
              std::sqrt(speed_squares / tests), 100.0 * speed_near / tests,
              100.0 * speed_held / tests);
  std::printf("contrast: rms %.1f %%, within 2 %% in %.0f %%, held by %.0f %% of intervals\n",
              100 * std::sqrt(contrast_squares / contrasts), 100.0 * near / contrasts,
              100.0 * held / contrasts);
}

void print_brackets(const Words& words) {
  int found = 0, held = 0, near4 = 0, near6 = 0;
  double squares = 0, width = 0;
  for (const BracketOutcome& o : run(words.bracket, words.folder)) {
    const double error = o.factor / o.truth - 1;
    const bool holds = o.low <= o.truth && o.truth <= o.high;
    if (words.each) {
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
  std::printf("%d rolls, contrast found on %d\n", words.bracket.rolls, found);
  if (found == 0) return;
  std::printf(
      "rms %.1f %%, within 4 %% in %.0f %%, within 6 %% in %.0f %%, held by %.0f %% of "
      "intervals, mean width %.1f %%\n",
      100 * std::sqrt(squares / found), 100.0 * near4 / found, 100.0 * near6 / found,
      100.0 * held / found, 100 * width / found);
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const Words words = parse(argc, argv);
    if (words.study == "card") {
      print_cards(words);
    } else if (words.study == "bracket") {
      print_brackets(words);
    } else {
      throw std::invalid_argument("unknown study " + words.study);
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "film_studies: %s\n", error.what());
    return 2;
  }
  return 0;
}

// SPDX-License-Identifier: GPL-3.0-or-later
// How many frames of simulated rolls are given their row, whether the others are known to be
// doubtful, and whether what is called so probable comes true so often. matching_study ROLLS SEED
// prints tables, one line a kind of numbering. Fails where fewer are right than the kind's floor,
// which lies a little below what was reached, or where too few of the wrong ones are called
// doubtful. At the end, what the best of all methods could do.
#include <fmt/format.h>

#include <array>
#include <cstdlib>
#include <string>
#include <vector>

#include "validation/matching_limit.hpp"
#include "validation/simulated_log.hpp"

namespace {

using study::FileNumbers;
using study::RowNumbers;
using study::Scanned;

struct Kind {
  const char* name;
  RowNumbers rows;
  FileNumbers files;
  Scanned scanned;
  double floor;             ///< percent right
  double most_doubt = 100;  ///< percent doubtful
};

constexpr auto kKinds = std::to_array<Kind>({
    {"none at all", RowNumbers::none, FileNumbers::none, Scanned::with_losses, 60},
    {"rows counted later", RowNumbers::counted_later, FileNumbers::none, Scanned::with_losses, 60},
    {"rows by counter", RowNumbers::counter, FileNumbers::none, Scanned::with_losses, 82},
    {"rows by counter, files by scan", RowNumbers::counter, FileNumbers::by_scan,
     Scanned::with_losses, 82},
    {"rows counted later, files by frame", RowNumbers::counted_later, FileNumbers::by_frame,
     Scanned::with_losses, 60},
    {"rows by counter, files by frame", RowNumbers::counter, FileNumbers::by_frame,
     Scanned::with_losses, 95},
    {"keepers by frame, rows by counter", RowNumbers::counter, FileNumbers::by_frame,
     Scanned::keepers, 100, 0},
    {"keepers by frame, rows none", RowNumbers::none, FileNumbers::by_frame, Scanned::keepers, 95},
    {"sheet, rows by counter", RowNumbers::counter, FileNumbers::none, Scanned::sheet, 100, 0},
    {"sheet, rows none", RowNumbers::none, FileNumbers::none, Scanned::sheet, 100, 0},
});

/// How often pairs told so probable are right, by tenths of probability.
struct Reliability {
  std::array<int, 10> told{};
  std::array<double, 10> sum{};
  std::array<int, 10> right{};

  void add(double probability, bool is_right) {
    const auto tenth = static_cast<std::size_t>(std::min(9.0, probability * 10));
    ++told.at(tenth);
    sum.at(tenth) += probability;
    right.at(tenth) += is_right ? 1 : 0;
  }
};

struct Tally {
  int frames = 0;
  int right = 0;
  int wrong_but_doubtful = 0;
  int doubtful = 0;
  int direction_wrong = 0;

  int wrong() const { return frames - right; }
  double percent_right() const { return 100.0 * right / frames; }
  double percent_known() const { return wrong() == 0 ? 100 : 100.0 * wrong_but_doubtful / wrong(); }
};

Tally try_rolls(const Kind& kind, int rolls, unsigned seed, Reliability& reliability) {
  std::mt19937 random(seed);
  const basefog::film::FilmProfile film =
      basefog::film::generic_black_and_white(basefog::FilmSpeed(400));
  Tally tally;
  for (int k = 0; k < rolls; ++k) {
    const study::SimulatedRoll roll = simulate_roll(kind.rows, kind.files, kind.scanned, random);
    const basefog::matching::Matching matching =
        basefog::matching::match_frames(roll.frames, roll.log, film);
    for (std::size_t i = 0; i < roll.frames.size(); ++i) {
      const bool right = matching.frames[i].row == roll.truth[i];
      ++tally.frames;
      tally.right += right;
      tally.doubtful += matching.frames[i].doubtful;
      tally.wrong_but_doubtful += !right && matching.frames[i].doubtful;
      reliability.add(matching.frames[i].probability, right);
    }
    const bool reversed = matching.direction == basefog::matching::FilmDirection::reversed;
    tally.direction_wrong += reversed != roll.scanned_backwards;
  }
  return tally;
}

/// Percent right where all that is hidden is told.
double best_of_all(RowNumbers numbers, int rolls, unsigned seed, study::Told told) {
  std::mt19937 random(seed);
  int frames = 0;
  int right = 0;
  for (int k = 0; k < rolls; ++k) {
    const study::SimulatedRoll roll =
        simulate_roll(numbers, FileNumbers::none, Scanned::with_losses, random);
    const auto rows = match_with_hidden_truth(roll, told);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      ++frames;
      right += rows[i] == roll.truth[i];
    }
  }
  return 100.0 * right / frames;
}

/// Whose log each is thought to be, by `basefog::matching::LogBelongs`, of the roll's own logs and
/// of those of the roll simulated after it.
void print_whose_log(int rolls, unsigned seed) {
  const basefog::film::FilmProfile film =
      basefog::film::generic_black_and_white(basefog::FilmSpeed(400));
  fmt::print(
      "\n| whose log | own: yes | unknown | foreign | another's: yes | unknown | foreign "
      "|\n|---|---|---|---|---|---|---|\n");
  for (const Kind& kind : kKinds) {
    std::mt19937 random(seed);
    std::array<std::array<int, 3>, 2> told{};
    study::SimulatedRoll before = simulate_roll(kind.rows, kind.files, kind.scanned, random);
    for (int k = 0; k < rolls; ++k) {
      study::SimulatedRoll roll = simulate_roll(kind.rows, kind.files, kind.scanned, random);
      for (const bool own : {true, false}) {
        const auto matching =
            basefog::matching::match_frames(roll.frames, own ? roll.log : before.log, film);
        if (std::getenv("GAINS") != nullptr) {
          fmt::print("{} {} {:.2f} {:.2f}\n", own, kind.name, matching.log_test->gain,
                     matching.log_test->spread);
        }
        ++told.at(own ? 0 : 1).at(static_cast<std::size_t>(matching.log_test->belongs));
      }
      before = std::move(roll);
    }
    fmt::print("| {} | {} | {} | {} | {} | {} | {} |\n", kind.name, told[0][0], told[0][1],
               told[0][2], told[1][0], told[1][1], told[1][2]);
  }
}

void print_best(int rolls, unsigned seed) {
  fmt::print("\n| right % of the best, told all hidden | but kinds of place | and places |\n");
  fmt::print("|---|---|---|\n");
  for (const Kind& kind : {kKinds[0], kKinds[2]}) {
    fmt::print("| {} | {:.2f} | {:.2f} |\n", kind.name,
               best_of_all(kind.rows, rolls, seed, study::Told::scenes),
               best_of_all(kind.rows, rolls, seed, study::Told::scenes_and_places));
  }
}

void print_reliability(const Reliability& reliability) {
  fmt::print("\n| called probable % | frames | on average % | right % |\n|---|---|---|---|\n");
  for (std::size_t tenth = 0; tenth < reliability.told.size(); ++tenth) {
    const int told = reliability.told[tenth];
    if (told == 0) continue;
    fmt::print("| {} to {} | {} | {:.1f} | {:.1f} |\n", 10 * tenth, 10 * tenth + 10, told,
               100 * reliability.sum[tenth] / told, 100.0 * reliability.right[tenth] / told);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const int rolls = argc > 1 ? std::atoi(argv[1]) : 300;
  const unsigned seed = argc > 2 ? static_cast<unsigned>(std::atoi(argv[2])) : 1;
  fmt::print("{} rolls of 36 a line, seed {}\n\n", rolls, seed);
  fmt::print(
      "| numbers | right % | wrong but doubtful % | doubtful % | rolls in the wrong "
      "direction |\n|---|---|---|---|---|\n");
  constexpr double kKnown = 50;  // percent of the wrong ones that are called doubtful
  constexpr int kFew = 30;       // of which no share is worth naming
  bool held = true;
  Reliability reliability;
  for (const Kind& kind : kKinds) {
    const Tally tally = try_rolls(kind, rolls, seed, reliability);
    const double doubtful = 100.0 * tally.doubtful / tally.frames;
    fmt::print("| {} | {:.2f} | {:.1f} | {:.1f} | {} |\n", kind.name, tally.percent_right(),
               tally.percent_known(), doubtful, tally.direction_wrong);
    held = held && tally.percent_right() >= kind.floor && doubtful <= kind.most_doubt &&
           (tally.wrong() < kFew || tally.percent_known() >= kKnown);
  }
  print_reliability(reliability);
  print_whose_log(rolls, seed);
  print_best(rolls, seed);
  return held ? 0 : 1;
}

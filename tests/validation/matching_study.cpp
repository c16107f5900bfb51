// SPDX-License-Identifier: GPL-3.0-or-later
// How many frames of simulated rolls are given their row, and whether the others are known to be
// doubtful. matching_study ROLLS SEED: a table, one line a kind of numbering. Fails where fewer
// are right than the kind's floor, which lies a little below what was reached, or where too few of
// the wrong ones are called doubtful. At the end, what the best of all methods could do.
#include <fmt/format.h>

#include <cstdlib>
#include <string>

#include "validation/matching_limit.hpp"
#include "validation/simulated_log.hpp"

namespace {

using study::FileNumbers;
using study::RowNumbers;

struct Kind {
  const char* name;
  RowNumbers rows;
  FileNumbers files;
  double floor;  ///< percent right
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

Tally try_rolls(const Kind& kind, int rolls, unsigned seed) {
  std::mt19937 random(seed);
  const basefog::film::FilmProfile film =
      basefog::film::generic_black_and_white(basefog::FilmSpeed(400));
  Tally tally;
  for (int k = 0; k < rolls; ++k) {
    const study::SimulatedRoll roll = simulate_roll(kind.rows, kind.files, random);
    const basefog::matching::Matching matching =
        basefog::matching::match_frames(roll.frames, roll.log, film);
    for (std::size_t i = 0; i < roll.frames.size(); ++i) {
      const bool right = matching.frames[i].row == roll.truth[i];
      ++tally.frames;
      tally.right += right;
      tally.doubtful += matching.frames[i].doubtful;
      tally.wrong_but_doubtful += !right && matching.frames[i].doubtful;
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
    const study::SimulatedRoll roll = simulate_roll(numbers, FileNumbers::none, random);
    const auto rows = match_with_hidden_truth(roll, told);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      ++frames;
      right += rows[i] == roll.truth[i];
    }
  }
  return 100.0 * right / frames;
}

}  // namespace

int main(int argc, char** argv) {
  const int rolls = argc > 1 ? std::atoi(argv[1]) : 300;
  const unsigned seed = argc > 2 ? static_cast<unsigned>(std::atoi(argv[2])) : 1;
  const Kind kinds[] = {
      {"none at all", RowNumbers::none, FileNumbers::none, 70},
      {"rows counted later", RowNumbers::counted_later, FileNumbers::none, 70},
      {"rows by counter", RowNumbers::counter, FileNumbers::none, 87},
      {"rows by counter, files by scan", RowNumbers::counter, FileNumbers::by_scan, 87},
      {"rows counted later, files by frame", RowNumbers::counted_later, FileNumbers::by_frame, 78},
      {"rows by counter, files by frame", RowNumbers::counter, FileNumbers::by_frame, 99},
  };
  fmt::print("{} rolls of 36 each, seed {}\n\n", rolls, seed);
  fmt::print("{:36}{:>10}{:>22}{:>12}{:>17}\n", "numbers", "right %", "wrong but doubtful %",
             "doubtful %", "wrong direction");
  constexpr double kKnown = 75;  // percent of the wrong ones that are called doubtful
  constexpr int kFew = 30;       // of which no share is worth naming
  bool held = true;
  for (const Kind& kind : kinds) {
    const Tally tally = try_rolls(kind, rolls, seed);
    fmt::print("{:36}{:10.2f}{:22.1f}{:12.1f}{:17}\n", kind.name, tally.percent_right(),
               tally.percent_known(), 100.0 * tally.doubtful / tally.frames, tally.direction_wrong);
    held = held && tally.percent_right() >= kind.floor &&
           (tally.wrong() < kFew || tally.percent_known() >= kKnown);
  }
  fmt::print("\n{:36}{:>22}{:>12}\n", "right % of the best, told all hidden", "but kinds of place",
             "and places");
  for (const Kind& kind : {kinds[0], kinds[2]}) {
    fmt::print("{:36}{:22.2f}{:12.2f}\n", kind.name,
               best_of_all(kind.rows, rolls, seed, study::Told::scenes),
               best_of_all(kind.rows, rolls, seed, study::Told::scenes_and_places));
  }
  return held ? 0 : 1;
}

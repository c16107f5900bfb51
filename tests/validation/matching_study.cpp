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
#include <utility>
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

constexpr unsigned kOfAnother = 100'000;  ///< added to a seed: of the roll before the first

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

/// Whose a log was thought to be, by `basefog::matching::LogBelongs`.
struct WhoseLog {
  std::array<int, 3> told{};
  int sets_dial = 0;  ///< unknown, but the camera's bias is told all the same

  void add(const basefog::matching::WholeLogTest& test) {
    ++told.at(static_cast<std::size_t>(test.belongs));
    sets_dial += test.belongs == basefog::matching::LogBelongs::unknown && test.alike_anywhere;
  }
};

struct Tally {
  int frames = 0;
  int right = 0;
  int wrong_but_doubtful = 0;
  int doubtful = 0;
  int direction_wrong = 0;
  WhoseLog own;
  WhoseLog others;

  int wrong() const { return frames - right; }
  double percent_right() const { return 100.0 * right / frames; }
  double percent_known() const { return wrong() == 0 ? 100 : 100.0 * wrong_but_doubtful / wrong(); }
};

/// Matches rolls with their own logs, and with that of the roll simulated before.
Tally try_rolls(const Kind& kind, int rolls, unsigned seed, Reliability& reliability) {
  using basefog::matching::match_frames;
  std::mt19937 random(seed);
  const basefog::film::FilmProfile film =
      basefog::film::generic_black_and_white(basefog::FilmSpeed(400));
  Tally tally;
  std::mt19937 first(seed + kOfAnother);
  basefog::log::ShotLog another = simulate_roll(kind.rows, kind.files, kind.scanned, first).log;
  for (int k = 0; k < rolls; ++k) {
    study::SimulatedRoll roll = simulate_roll(kind.rows, kind.files, kind.scanned, random);
    const basefog::matching::Matching matching = match_frames(roll.frames, roll.log, film);
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
    tally.own.add(*matching.log_test);
    tally.others.add(*match_frames(roll.frames, another, film).log_test);
    another = std::move(roll.log);
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

void print_whose_log(const std::vector<Tally>& tallies) {
  fmt::print(
      "\n| whose log | own: yes | unknown | of these set the dial | foreign | another's: yes | "
      "unknown | of these set the dial | foreign |\n|---|---|---|---|---|---|---|---|---|\n");
  for (std::size_t k = 0; k < tallies.size(); ++k) {
    fmt::print("| {} ", kKinds.at(k).name);
    for (const WhoseLog& log : {tallies[k].own, tallies[k].others}) {
      fmt::print("| {} | {} | {} | {} ", log.told[0], log.told[1], log.sets_dial, log.told[2]);
    }
    fmt::print("|\n");
  }
}

void print_best(int rolls, unsigned seed) {
  fmt::print("\n| right % of the best | told habits | and scenes, direction | and places |\n");
  fmt::print("|---|---|---|---|\n");
  for (const Kind& kind : {kKinds[0], kKinds[2]}) {
    fmt::print("| {} | {:.2f} | {:.2f} | {:.2f} |\n", kind.name,
               best_of_all(kind.rows, rolls, seed, study::Told::habits),
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
      "direction | |\n|---|---|---|---|---|---|\n");
  constexpr double kKnown = 50;  // percent of the wrong ones that are called doubtful
  constexpr int kFew = 30;       // of which no share is worth naming
  bool held = true;
  Reliability reliability;
  std::vector<Tally> tallies;
  for (const Kind& kind : kKinds) {
    const Tally& tally = tallies.emplace_back(try_rolls(kind, rolls, seed, reliability));
    const double doubtful = 100.0 * tally.doubtful / tally.frames;
    const bool met = tally.percent_right() >= kind.floor && doubtful <= kind.most_doubt &&
                     (tally.wrong() < kFew || tally.percent_known() >= kKnown);
    fmt::print("| {} | {:.2f} | {:.1f} | {:.1f} | {} | {} |\n", kind.name, tally.percent_right(),
               tally.percent_known(), doubtful, tally.direction_wrong, met ? "met" : "NOT MET");
    held = held && met;
  }
  print_reliability(reliability);
  print_whose_log(tallies);
  print_best(rolls, seed);
  return held ? 0 : 1;
}

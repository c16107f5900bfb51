// SPDX-License-Identifier: GPL-3.0-or-later
#include "tablet/tablet_lattice.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::tablet {
namespace {

// Limits without a reason are judgement, held by the tablet tests on drawn tablets.

/// Part of a cell that is looked at, so that gaps, slant and blur at its edges do no harm.
constexpr double kCellFrom = 0.22;
constexpr double kCellTo = 0.78;
/// Rise from cell to cell that may be noise, and fall that is surely a step, in log10 of code: a
/// step of 0.05 under a display's curve falls by 0.02.
constexpr double kMostRise = 0.015;
constexpr double kClearFall = 0.008;
/// Share of the steps, from the lightest on, that must be clear of the scanner's noise and black.
constexpr double kClearPart = 0.6;
/// Least of those steps, as a share of the middle one: a display's curve makes them 1/2.2.
constexpr double kLeastStep = 0.25;
/// A level of code from which on steps may be one, since the scanner clipped them.
constexpr double kWhite = -0.013;  // 0.97
/// A tablet falls by at least this much in log10 of code, all steps together.
constexpr double kLeastFall = 0.3;
/// A change of level that marks the end of the tablet.
constexpr double kEndRise = 0.02;
/// Fall of level, lightwards of the first step, to what is a border; and how far a step there may
/// differ from the others.
constexpr double kBorder = 0.1;
constexpr double kSameStep = 0.35;
/// How surely the end of the profile counts as the tablet's end.
constexpr double kProfileEnd = 0.05;
/// Spread within a cell, as a share of a step: an even ramp without steps has 0.16.
constexpr double kMostSpread = 0.11;
/// Noise of a level below which cells are not separated by it.
constexpr double kLevelNoise = 0.003;

struct Cell {
  double mean = 0;
  double variance = 0;
};

/// Means and variances of any stretch of the profile, from running sums.
class Profile {
 public:
  explicit Profile(std::span<const double> levels) : sum_(1, 0.0), squares_(1, 0.0) {
    for (const double level : levels) {
      sum_.push_back(sum_.back() + level);
      squares_.push_back(squares_.back() + level * level);
    }
  }
  double size() const { return static_cast<double>(sum_.size() - 1); }
  /// Over the samples that lie nearest; absent outside.
  std::optional<double> mean(double from, double to) const {
    const double first = std::round(from);
    const double last = std::max(first + 1, std::round(to));
    if (first < 0 || last > size()) return std::nullopt;
    return (sum_[static_cast<std::size_t>(last)] - sum_[static_cast<std::size_t>(first)]) /
           (last - first);
  }
  std::optional<Cell> cell(double start, double pitch) const {
    const double from = std::ceil(start + kCellFrom * pitch - 0.5);
    const double to = std::max(from + 1, std::floor(start + kCellTo * pitch + 0.5));
    if (from < 0 || to > size()) return std::nullopt;
    const auto a = static_cast<std::size_t>(from);
    const auto b = static_cast<std::size_t>(to);
    const double count = to - from;
    Cell cell;
    cell.mean = (sum_[b] - sum_[a]) / count;
    cell.variance = std::max(0.0, (squares_[b] - squares_[a]) / count - cell.mean * cell.mean);
    return cell;
  }

 private:
  std::vector<double> sum_, squares_;
};

/// True where patches lie before the first cell: even stretches lighter than that, about a pitch
/// long each, that end at something dark, as a border is, or whole steps lighter at the profile's
/// end. Bare light goes on for longer. Seen in tenths of a pitch, for cells may straddle patch and
/// border.
bool begins_earlier(const Profile& profile, const TabletLattice& lattice, double first) {
  constexpr double kWindow = 0.1;
  constexpr double kFrom = 0.25;    // what the start may be off, and an edge's blur
  constexpr double kLeast = 0.3;    // of a patch, less those; dust is shorter
  constexpr double kLongest = 1.5;  // longer is no patch
  constexpr int kDarkWindows = 2;   // dust is narrower
  double light = 0;
  double since_rise = 0;
  double lightest = first;
  int dark = 0;
  for (double at = kFrom; since_rise < kLongest; at += kWindow) {
    const auto level = profile.mean(lattice.start - (at + kWindow) * lattice.pitch,
                                    lattice.start - at * lattice.pitch);
    if (!level) {
      const double steps = (lightest - first) / lattice.step;
      return light >= kLeast && std::abs(steps / std::max(1.0, std::round(steps)) - 1) < kSameStep;
    }
    if (*level > first + kClearFall) light += kWindow;
    since_rise = *level > lightest + kClearFall ? 0 : since_rise + kWindow;
    lightest = std::max(lightest, *level);
    dark = *level < lightest - kBorder ? dark + 1 : 0;
    if (dark == kDarkWindows) return light >= kLeast;
  }
  return false;
}

/// How surely the first step is identified, 0 to 1: the profile rises into the first
/// cell or out of the last; or, less surely, it ends there and the first step is clear.
double end_certainty(const Profile& profile, const TabletLattice& lattice,
                     const std::vector<Cell>& cells) {
  if (begins_earlier(profile, lattice, cells.front().mean)) return 0;
  const auto before = profile.cell(lattice.start - lattice.pitch, lattice.pitch);
  const double end = lattice.start + static_cast<double>(cells.size()) * lattice.pitch;
  const auto after = profile.cell(end, lattice.pitch);
  if (before && before->mean < cells.front().mean - kEndRise) return 1;
  if (after && after->mean > cells.back().mean + kEndRise) return 1;
  const bool at_the_end = !before || !after;
  return at_the_end && cells[0].mean - cells[1].mean >= kClearFall ? kProfileEnd : 0;
}

std::optional<std::vector<Cell>> read_cells(const Profile& profile, double start, double pitch,
                                            int steps) {
  std::vector<Cell> cells;
  cells.reserve(static_cast<std::size_t>(steps));
  for (int k = 0; k < steps; ++k) {
    const auto cell = profile.cell(start + k * pitch, pitch);
    if (!cell) return std::nullopt;
    if (k > 0) {
      const double fall = cells.back().mean - cell->mean;
      const bool must_be_clear = k <= kClearPart * steps && cell->mean < kWhite;
      if (fall < (must_be_clear ? kClearFall : -kMostRise)) return std::nullopt;
    }
    cells.push_back(*cell);
  }
  return cells;
}

std::optional<TabletLattice> judge(const Profile& profile, double start, double pitch, int steps) {
  const auto cells = read_cells(profile, start, pitch, steps);
  if (!cells) return std::nullopt;
  const double fall = cells->front().mean - cells->back().mean;
  if (fall < kLeastFall) return std::nullopt;
  std::vector<double> falls;
  std::vector<double> spreads;
  double variance = 0;
  double least_fall = fall;
  const auto clear = static_cast<std::size_t>(kClearPart * steps);
  for (std::size_t k = 0; k < cells->size(); ++k) {
    const Cell& cell = (*cells)[k];
    if (k > 0) falls.push_back((*cells)[k - 1].mean - cell.mean);
    // From a clipped step the fall is only what is left of it.
    if (k > 0 && k <= clear && (*cells)[k - 1].mean < kWhite) {
      least_fall = std::min(least_fall, falls.back());
    }
    if (k < clear) spreads.push_back(std::sqrt(cell.variance));
    variance += cell.variance / steps;
  }
  TabletLattice lattice{start, pitch, 0, numeric::quantile(falls, 0.5)};
  if (least_fall < kLeastStep * lattice.step) return std::nullopt;
  // Most cells, not half of them: cells of half a step's length would straddle every other edge.
  constexpr double kMostCells = 0.8;
  if (numeric::quantile(spreads, kMostCells) > kMostSpread * lattice.step) return std::nullopt;
  const double certainty = end_certainty(profile, lattice, *cells);
  if (certainty == 0) return std::nullopt;
  lattice.score = certainty * fall * fall / (variance + kLevelNoise * kLevelNoise);
  return lattice;
}

/// Cells fit as well a little to the left or right; the truth is in the middle of all that fit as
/// well as the best.
TabletLattice centre_of_best(const std::vector<TabletLattice>& found, int steps) {
  constexpr double kAsGood = 0.6;  // of the best score, which goes with the square of contrast
  TabletLattice best = *std::ranges::max_element(found, {}, &TabletLattice::score);
  const auto middle = [&](const TabletLattice& l) { return l.start + l.pitch * steps / 2; };
  double middles = 0;
  double pitches = 0;
  int count = 0;
  for (const TabletLattice& lattice : found) {
    const bool same = std::abs(middle(lattice) - middle(best)) < best.pitch / 2 &&
                      std::abs(lattice.pitch - best.pitch) * steps < best.pitch;
    if (!same || lattice.score < kAsGood * best.score) continue;
    middles += middle(lattice);
    pitches += lattice.pitch;
    ++count;
  }
  best.pitch = pitches / count;
  best.start = middles / count - best.pitch * steps / 2;
  return best;
}

}  // namespace

std::optional<TabletLattice> find_lattice(std::span<const double> levels,
                                          const LatticeSearch& search) {
  // Half a pitch of error over all steps, and a sixth of a pitch in place, still meet every cell.
  const double pitch_factor = 1 + 0.5 / (search.steps * search.fineness);
  const double start_share = 1.0 / (6 * search.fineness);
  const Profile profile(levels);
  const double size = profile.size();
  // The outer parts of the end cells may be cut off, since they are not looked at.
  const double most_pitch = std::min(search.most_pitch, size / (search.steps - 2 * kCellFrom));
  std::vector<TabletLattice> found;
  for (double pitch = search.least_pitch; pitch <= most_pitch; pitch *= pitch_factor) {
    const double from = std::max(search.least_start, -kCellFrom * pitch);
    const double to = std::min(search.most_start, size - (search.steps - kCellFrom) * pitch);
    for (double start = from; start <= to; start += start_share * pitch) {
      const auto lattice = judge(profile, start, pitch, search.steps);
      if (lattice) found.push_back(*lattice);
    }
  }
  if (found.empty()) return std::nullopt;
  return centre_of_best(found, search.steps);
}

}  // namespace basefog::tablet

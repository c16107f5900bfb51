// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/roll_reference.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/quantile.hpp"

namespace basefog::density {
namespace {

/// Density by which the base of one roll may differ from scan to scan though nothing was changed:
/// lamp, uneven fog, light fall-off. Common practice; automatic exposure moves it by far more.
constexpr double kEvenness = 0.01;
/// A scan farther off than this, beyond three of its own sigmas, was made under another exposure;
/// and a roll is locked where this share agrees: one or two scans made anew are met on sound rolls,
/// more make the middle itself doubtful (judgement).
constexpr double kMostOff = 0.02;
constexpr double kLeastAgreeing = 0.8;
/// Density by which the clearest apertures of a frame may be below base by noise (judgement).
constexpr double kClearerThanBase = 0.03;

/// References that can be compared: the rebate's own, with the channels of the first.
std::vector<std::size_t> comparable(std::span<const FilmBase> bases) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < bases.size(); ++i) {
    if (bases[i].kind != ReferenceKind::rebate || bases[i].density.empty()) continue;
    if (bases[i].flags.contains(Flag::clipped_base)) continue;
    if (!out.empty() && bases[i].density.size() != bases[out.front()].density.size()) continue;
    out.push_back(i);
  }
  return out;
}

}  // namespace

RollReference check_locked_exposure(std::span<const FilmBase> bases) {
  RollReference roll;
  const std::vector<std::size_t> used = comparable(bases);
  if (used.size() < 2) return roll;
  roll.checked = true;

  std::vector<bool> off(bases.size(), false);
  std::vector<double> middle;
  const std::size_t channels = bases[used.front()].density.size();
  for (std::size_t c = 0; c < channels; ++c) {
    std::vector<double> densities;
    for (std::size_t i : used) densities.push_back(bases[i].density[c].value());
    const auto [median, sigma_between] = numeric::robust_spread(densities);
    middle.push_back(median);
    for (std::size_t k = 0; k < used.size(); ++k) {
      const double away = std::abs(densities[k] - middle[c]);
      const double sigma = std::hypot(bases[used[k]].sigma[c].value(), kEvenness / 3);
      if (away > kMostOff + 3 * sigma) off[used[k]] = true;
    }
    roll.spread.emplace_back(sigma_between);
  }
  for (std::size_t i : used) {
    if (off[i]) roll.outliers.push_back(i);
  }
  const auto agreeing = static_cast<double>(used.size() - roll.outliers.size());
  // Of two or three that disagree nothing says which one to trust.
  roll.locked = agreeing >= kLeastAgreeing * static_cast<double>(used.size()) && agreeing >= 2;
  if (!roll.locked) return roll;
  roll.base.kind = ReferenceKind::roll;
  roll.base.flags.insert(Flag::roll_reference);
  const auto doubtful = std::ranges::count_if(
      used, [&](std::size_t i) { return bases[i].flags.contains(Flag::base_doubtful); });
  if (2 * doubtful > std::ssize(used)) roll.base.flags.insert(Flag::base_doubtful);
  for (std::size_t c = 0; c < channels; ++c) {
    roll.base.density.push_back(Density::from_value(middle[c]));
    std::vector<double> own;
    for (const std::size_t i : used) own.push_back(bases[i].sigma[c].value());
    // One scan against the roll: the spread of single scans, not of their mean. What is uncertain
    // of one scan, such as stray light, is mostly uncertain of all.
    roll.base.sigma.emplace_back(
        std::hypot(roll.spread[c].value(), kEvenness, numeric::median(own)));
  }
  return roll;
}

bool reference_fits(const FrameMeasurement& frame, const FilmBase& base) {
  const ApertureGrid& grid = frame.apertures;
  if (!base.has_zero(grid.channels) || grid.density.empty()) return false;
  for (int c = 0; c < grid.channels; ++c) {
    // A scratch through the emulsion may be clearer than base; a hundredth of the frame is not.
    const double clearest = numeric::quantile(grid.densities(c), 0.01);
    const double least = base.density[c].value() - 3 * base.sigma[c].value() - kClearerThanBase;
    if (clearest < least) return false;
  }
  return true;
}

}  // namespace basefog::density

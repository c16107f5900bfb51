// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "basefog/core/units.hpp"
#include "basefog/density/density.hpp"
#include "basefog/density/film_base.hpp"

namespace basefog::density {

/// What the references of a roll's scans say of the scanner, and the one that they make together.
struct RollReference {
  /// Base + fog of the roll, kind roll; kind none unless `locked`. Its sigma holds the uncertainty
  /// of the references and the spread from scan to scan; doubtful where most of the references are.
  FilmBase base;
  /// At least two scans had clear film of their own, so that they could be compared.
  bool checked = false;
  /// References agree within what their noise and the film's evenness allow.
  bool locked = false;
  /// Standard deviation of the references over the roll, per channel (robust).
  std::vector<DensityDifference> spread;
  /// Indices of references that disagree with the others, in the order given.
  std::vector<std::size_t> outliers;
};

/// Compares the references that a roll's scans have of their own, and makes one for those that have
/// none. bases: one a scan; those of a kind other than rebate, or clipped, are left out; all with
/// the same number of channels, others are left out too. Locked where four fifths or more agree in
/// every channel within 0.02 and three standard deviations.
RollReference check_locked_exposure(std::span<const FilmBase> bases);

/// Whether a reference from elsewhere can be this frame's: nothing on film is clearer than base +
/// fog, so a frame with clearer parts was scanned under another exposure. base.kind must not be
/// none; channels must agree, otherwise false.
bool reference_fits(const FrameMeasurement& frame, const FilmBase& base);

}  // namespace basefog::density

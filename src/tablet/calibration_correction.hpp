// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "tablet/scanner_model.hpp"

namespace basefog::tablet {

/// Smooth departure of a scanner from its formula: straight lines between knots over density,
/// constant beyond the ends. Empty where the formula is enough.
class DensityCorrection {
 public:
  DensityCorrection() = default;
  /// knots rising, departures (density by the formula less true density) of the same size.
  DensityCorrection(std::vector<double> knots, std::vector<double> departures)
      : knots_(std::move(knots)), departures_(std::move(departures)) {}

  bool empty() const { return knots_.empty(); }
  double departure(double formula_density) const;
  double corrected(double formula_density) const {
    return formula_density - departure(formula_density);
  }
  /// True where corrected() rises by at least a fifth of the formula's density everywhere.
  bool monotone() const;

 private:
  std::vector<double> knots_;
  std::vector<double> departures_;
};

/// The departure that the steps ask for: none unless their scatter about the formula is well above
/// the tablet's own and a smooth departure predicts steps left out of it much better (leave one
/// out). Only steps up to `densest` are used.
DensityCorrection fit_correction(const ScannerModel& model, const std::vector<ScannerStep>& steps,
                                 double tablet_sigma, double densest);

}  // namespace basefog::tablet

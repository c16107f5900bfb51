// SPDX-License-Identifier: GPL-3.0-or-later
// One way in which scans and rows may belong together, before anything is compared.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

#include "matching/film_length.hpp"
#include "matching/scan_orders.hpp"

namespace basefog::matching {

/// How often a frame is without its row, and a row without its frame.
struct Losses {
  double rows = 0;
  double scans = 0;
};
/// Where the numbers would have shown the loss: once in 2000 frames two errors of counting cancel
/// (judgement).
inline constexpr double kHardlyEver = 0.0005;
/// Where both sides are numbered: numbers that both state hold unless readings contradict them by
/// some e^18 (judgement).
inline constexpr double kNumbersBreak = 0.0001;

/// One order with one numbering and one length of the film, with its probability.
struct Hypothesis {
  const ScanOrder* order;
  Numbering numbering;
  std::optional<FilmLength> length;  ///< where numbers do not show every loss
  int family = 0;                    ///< the same for all that differ in the length alone
  double weight = 0;

  /// A loss that numbers would show by a gap hardly happens without one.
  Losses losses() const {
    if (numbering.both_numbered()) return {kNumbersBreak, kNumbersBreak};
    const double pictures = length ? length->pictures : 1;
    const bool rows_lost = length && !numbering.rows_numbered;
    const bool scans_lost = length && !numbering.frames_numbered;
    return {rows_lost ? std::max(kHardlyEver, length->rows_missing / pictures) : kHardlyEver,
            scans_lost ? std::max(kHardlyEver, length->scans_missing / pictures) : kHardlyEver};
  }

  /// Log of the probability before anything is compared. An alignment with k losses weighs loss^k,
  /// and there are about binomial(pictures, k) of them; both are divided out here, so that all
  /// together weigh the prior (matching.cpp).
  double log_prior() const {
    double log_prior = std::log(order->prior) + std::log(numbering.prior);
    if (!length) return log_prior;
    const auto of_all = [&](int missing, double loss) {
      const double pictures = length->pictures;
      return std::lgamma(pictures + 1) - std::lgamma(missing + 1.0) -
             std::lgamma(pictures - missing + 1) + missing * std::log(loss);
    };
    log_prior += std::log(length->prior);
    if (!numbering.rows_numbered) log_prior -= of_all(length->rows_missing, losses().rows);
    if (!numbering.frames_numbered) log_prior -= of_all(length->scans_missing, losses().scans);
    return log_prior;
  }
};

}  // namespace basefog::matching

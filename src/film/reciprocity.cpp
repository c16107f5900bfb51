// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/reciprocity.hpp"

#include <algorithm>
#include <cmath>

#include "basefog/core/film_facts.hpp"
namespace basefog::film {
namespace {

/// The table with the longest time that needs no correction in front: what the table says, or 1 s,
/// or half the table's first time.
std::vector<ReciprocityPoint> anchored(const std::vector<ReciprocityPoint>& table) {
  std::vector<ReciprocityPoint> points = table;
  const ReciprocityPoint& first = table.front();
  if (first.corrected_seconds > first.metered_seconds) {
    const double anchor = std::min(film_facts::kReciprocityHoldsTo, first.metered_seconds / 2);
    points.insert(points.begin(), {anchor, anchor});
  }
  return points;
}

/// y at x on the broken line through (from, to) in log-log; the same as x before its start, along
/// its last slope beyond its end.
double along(const std::vector<ReciprocityPoint>& table, double ReciprocityPoint::*from,
             double ReciprocityPoint::*to, double x) {
  const std::vector<ReciprocityPoint> points = anchored(table);
  if (x <= points.front().*from || points.size() == 1) return x;
  std::size_t i = 1;
  while (i + 1 < points.size() && points[i].*from < x) ++i;
  const ReciprocityPoint& a = points[i - 1];
  const ReciprocityPoint& b = points[i];
  const double slope = std::log(b.*to / a.*to) / std::log(b.*from / a.*from);
  return a.*to * std::pow(x / a.*from, slope);
}

}  // namespace

ShutterTime corrected_time(const Reciprocity& film, ShutterTime metered) {
  const double t = metered.seconds();
  if (!film.table.empty()) {
    return ShutterTime(std::max(t, along(film.table, &ReciprocityPoint::metered_seconds,
                                         &ReciprocityPoint::corrected_seconds, t)));
  }
  return t <= film_facts::kReciprocityHoldsTo ? metered : ShutterTime(std::pow(t, film.exponent));
}

ReciprocityLoss reciprocity_loss(const Reciprocity& film, ShutterTime used) {
  const double t = used.seconds();
  double effective = t;
  if (!film.table.empty()) {
    effective = along(film.table, &ReciprocityPoint::corrected_seconds,
                      &ReciprocityPoint::metered_seconds, t);
  } else if (t > film_facts::kReciprocityHoldsTo) {
    effective = std::pow(t, 1 / film.exponent);
  }
  const Stops loss(std::max(0.0, std::log2(t / effective)));
  return {loss, loss * film.relative_sigma};
}

}  // namespace basefog::film

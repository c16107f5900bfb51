// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>

#include "basefog/log/log.hpp"

namespace basefog::log {
namespace {

/// How much more the used settings give than the metered ones. A setting that only one of the two
/// states is taken as the same in both. Nothing where no setting can be compared.
std::optional<Stops> used_against_metered(const LogRow& row) {
  const bool times = row.used.shutter && row.metered.shutter;
  const bool apertures = row.used.aperture && row.metered.aperture;
  if (!times && !apertures) return std::nullopt;
  Stops more(0);
  if (times) {
    more += Stops(exact(*row.metered.shutter).time_value() - exact(*row.used.shutter).time_value());
  }
  if (apertures) {
    more += Stops(exact(*row.metered.aperture).aperture_value() -
                  exact(*row.used.aperture).aperture_value());
  }
  return more;
}

}  // namespace

std::optional<ExposureFromAim> expected_exposure(const LogRow& row, FilmSpeed film_speed) {
  if (row.no_picture || row.flash) return std::nullopt;
  const bool anything = row.used.shutter || row.used.aperture || row.metered.shutter ||
                        row.metered.aperture || row.compensation || row.ei || row.mode;
  if (!anything) return std::nullopt;
  Stops asked = row.compensation.value_or(Stops(0));  // from the aim
  if (const auto more = used_against_metered(row)) {
    // The compensation and the settings may state one and the same intention.
    const bool stated_twice = abs(*more - asked) <= Stops(0.25);
    asked = stated_twice ? *more : asked + *more;
  }
  // A meter set to a lower index than the film's speed asks for more exposure.
  if (row.ei) asked += Stops(exact(film_speed).speed_value() - exact(*row.ei).speed_value());
  if (row.filter && !row.meter_behind_filter) asked -= *row.filter;
  return ExposureFromAim() + asked;
}

std::optional<Stops> asked_push(const ShotLog& log) {
  std::vector<Stops> asked;
  for (const LogRow& row : log.rows) {
    if (row.push) asked.push_back(*row.push);
  }
  if (asked.empty()) return std::nullopt;
  std::sort(asked.begin(), asked.end());
  return asked[asked.size() / 2];
}

}  // namespace basefog::log

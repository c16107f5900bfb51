// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/bias_history.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <iterator>
#include <set>
#include <utility>

#include "core/thirds.hpp"

namespace basefog::meter {
namespace {

bool same_time(const std::optional<ShutterTime>& a, const std::optional<ShutterTime>& b) {
  return a.has_value() == b.has_value() &&
         (!a || std::abs(a->time_value() - b->time_value()) < 0.01);
}

bool same_stop(const std::optional<FNumber>& a, const std::optional<FNumber>& b) {
  return a.has_value() == b.has_value() &&
         (!a || std::abs(a->aperture_value() - b->aperture_value()) < 0.01);
}

bool most_settings_agree(const RememberedRoll& a, const RememberedRoll& b) {
  std::size_t same = 0;
  for (const DeviationSample& one : a.deviations) {
    if (!one.shutter && !one.aperture) continue;  // says nothing of which roll it is
    same += std::ranges::any_of(b.deviations, [&](const DeviationSample& other) {
      return one.frame == other.frame && same_time(one.shutter, other.shutter) &&
             same_stop(one.aperture, other.aperture);
    });
  }
  return 2 * same >= std::min(a.deviations.size(), b.deviations.size());
}

/// Frames numbered from 1 and mostly at f/8 are on many rolls; their scenes distinguish them. True
/// where one of the logs has none.
bool most_scenes_agree(const RememberedRoll& a, const RememberedRoll& b) {
  const auto scenes_of = [](const RememberedRoll& roll) {
    std::multiset<std::string> scenes;
    for (const TechniqueSample& sample : roll.techniques) {
      if (!sample.scene.empty()) scenes.insert(sample.scene);
    }
    return scenes;
  };
  const std::multiset<std::string> first = scenes_of(a);
  const std::multiset<std::string> second = scenes_of(b);
  std::vector<std::string> both;
  std::ranges::set_intersection(first, second, std::back_inserter(both));
  return 2 * both.size() >= std::min(first.size(), second.size());
}

}  // namespace

std::optional<double> day_of(const std::string& date) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  const auto number = [&](std::size_t from, std::size_t length, auto& value) {
    if (date.size() < from + length) return false;
    const char* end = date.data() + from + length;
    return std::from_chars(date.data() + from, end, value).ptr == end;
  };
  if (!number(0, 4, year) || !number(5, 2, month) || !number(8, 2, day)) return std::nullopt;
  const std::chrono::year_month_day ymd{std::chrono::year(year), std::chrono::month(month),
                                        std::chrono::day(day)};
  if (date[4] != '-' || date[7] != '-' || !ymd.ok()) return std::nullopt;
  return static_cast<double>(std::chrono::sys_days(ymd).time_since_epoch().count());
}

std::string film_name(const RememberedRoll& roll) {
  return roll.film + ", ISO " + as_marked(roll.film_speed);
}

bool is_same_roll(const RememberedRoll& a, const RememberedRoll& b) {
  const std::optional<double> day_a = day_of(a.date);
  const std::optional<double> day_b = day_of(b.date);
  if (day_a && day_b && *day_a != *day_b) return false;
  return most_settings_agree(a, b) && most_scenes_agree(a, b);
}

std::optional<double> rms_deviation(std::span<const DeviationSample> samples) {
  if (samples.empty()) return std::nullopt;
  double squares = 0;
  for (const DeviationSample& sample : samples) squares += std::pow(sample.deviation.value(), 2);
  return std::sqrt(squares / static_cast<double>(samples.size()));
}

std::optional<PreviousRoll> previous_roll(std::span<const RememberedRoll> rolls,
                                          const RememberedRoll& now) {
  if (now.camera.empty()) return std::nullopt;
  const std::optional<double> today = day_of(now.date);
  const RememberedRoll* last = nullptr;
  for (const RememberedRoll& roll : rolls) {
    if (roll.camera != now.camera || film_name(roll) != film_name(now)) continue;
    if (roll.name == now.name || is_same_roll(roll, now)) continue;
    const std::optional<double> day = day_of(roll.date);
    if (today && (!day || *day > *today)) continue;
    if (last == nullptr || roll.date >= last->date) last = &roll;
  }
  if (last == nullptr) return std::nullopt;
  const std::optional<double> rms = rms_deviation(last->deviations);
  if (!rms) return std::nullopt;
  return PreviousRoll{.name = last->name,
                      .date = last->date,
                      .bias = fit_meter_bias(last->deviations).bias,
                      .rms = *rms,
                      .frames = static_cast<int>(last->deviations.size())};
}

BiasHistory fit_bias_history(std::span<const RememberedRoll> rolls) {
  constexpr Stops kMisfit{kThird};  // of a roll against the rest: the step of dials
  BiasHistory history;
  history.camera = rolls.front().camera;
  std::vector<DeviationSample> deviations;
  std::vector<TechniqueSample> techniques;
  std::set<std::string> films;
  const RememberedRoll* last = &rolls.front();
  for (const RememberedRoll& roll : rolls) {
    films.insert(roll.film);
    if (!roll.date.empty()) {
      if (history.first_date.empty() || roll.date < history.first_date) {
        history.first_date = roll.date;
      }
      if (roll.date >= history.last_date) {
        history.last_date = roll.date;
        last = &roll;
      }
    }
    for (DeviationSample sample : roll.deviations) {
      sample.roll = roll.name;
      sample.film = film_name(roll);
      sample.film_speed_sigma = roll.film_speed_sigma;
      sample.day = day_of(roll.date);
      deviations.push_back(std::move(sample));
    }
    for (TechniqueSample sample : roll.techniques) {
      sample.roll = roll.name;
      techniques.push_back(std::move(sample));
    }
  }
  history.films.assign(films.begin(), films.end());
  history.meter = fit_meter_bias(deviations);
  for (const BiasEffect& effect : history.meter.effects) {
    const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
    if (effect.factor == BiasFactor::roll && sure && abs(effect.stops.value) >= kMisfit) {
      history.misfits.push_back(effect);
    }
  }
  history.techniques = fit_technique(techniques);
  history.film_speed = last->film_speed;
  history.dialled = last->dialled;
  history.film_speed_measured = last->film_speed_sigma.has_value();
  return history;
}

}  // namespace basefog::meter

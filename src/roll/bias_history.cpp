// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/bias_history.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <iterator>
#include <set>

#include "basefog/core/error.hpp"
#include "core/stops_text.hpp"
#include "roll/log_comparison.hpp"

namespace basefog::roll {
namespace {

/// Fewer frames of a roll are not kept: two that disagree do not say which is off.
constexpr std::size_t kLeastFrames = 3;

/// Earliest date of the log's rows, else of the scans.
std::string date_of(const Analysis& analysis) {
  const auto earliest = [](std::vector<std::string> dates) {
    std::erase_if(dates, [](const std::string& date) { return !day_of(date); });
    return dates.empty() ? std::string() : *std::ranges::min_element(dates);
  };
  std::vector<std::string> logged;
  for (const log::LogRow& row : analysis.log->rows) logged.push_back(row.date);
  std::vector<std::string> taken;
  for (const FrameResult& frame : analysis.frames) {
    taken.push_back(frame.measurement.metadata.original_date);
  }
  std::string date = earliest(std::move(logged));
  return date.empty() ? earliest(std::move(taken)) : date;
}

std::string name_for(const Analysis& analysis) {
  if (!analysis.log->roll.empty()) return analysis.log->roll;
  const std::filesystem::path& file = analysis.frames.front().measurement.file;
  const std::filesystem::path folder = std::filesystem::absolute(file).parent_path();
  return folder.filename().string();
}

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
  for (const meter::DeviationSample& one : a.deviations) {
    if (!one.shutter && !one.aperture) continue;  // says nothing of which roll it is
    same += std::ranges::any_of(b.deviations, [&](const meter::DeviationSample& other) {
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
    for (const meter::TechniqueSample& sample : roll.techniques) {
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

/// Advice as for one roll; the fit of all of them stands in for that of one.
std::vector<Advice> advice_on(const BiasHistory& history, const RememberedRoll& last) {
  Analysis analysis;
  analysis.film.iso_speed = last.film_speed;
  analysis.film.speed_measured = last.film_speed_sigma.has_value();
  analysis.film.contrast_source = "ledger";
  analysis.meter = history.meter;
  analysis.techniques = history.techniques;
  std::vector<Advice> advice = advise(analysis);
  const auto& drift = history.meter.drift;
  const bool moved = drift && drift->change.two_sided() &&
                     (*drift->change.low > Stops(0) || *drift->change.high < Stops(0));
  if (moved && abs(drift->change.value) >= Stops(kThird)) {
    Advice one{.kind = AdviceKind::check_meter};
    one.text = fmt::format(
        "The meter has come to give {} than at first: put in a fresh battery, and if the next roll "
        "shows the same, have the meter looked at.",
        amount_of_stops(drift->change.value) +
            (drift->change.value > Stops(0) ? " more" : " less"));
    one.evidence = evidence_text(drift->change, history.meter.frames_used) +
                   fmt::format(" in {:.0f} days", drift->days);
    std::erase_if(advice, [](const Advice& a) { return a.kind == AdviceKind::nothing_to_change; });
    advice.insert(advice.begin(), std::move(one));
  }
  return advice;
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

RememberedRoll remembered_roll(const Analysis& analysis, const std::string& name) {
  const std::vector<meter::DeviationSample> samples =
      analysis.log ? deviation_samples(analysis) : std::vector<meter::DeviationSample>();
  if (samples.size() < kLeastFrames) {
    throw InputError(ErrorCode::usage, "--remember",
                     "found fewer than three frames that say something of the meter",
                     "give the roll's log, or see the warnings for what keeps frames out");
  }
  RememberedRoll roll;
  roll.name = name.empty() ? name_for(analysis) : name;
  roll.camera = analysis.camera ? analysis.camera->name : analysis.log->camera;
  roll.film = analysis.log->film.empty() ? analysis.film.name : analysis.log->film;
  roll.film_speed = analysis.film.iso_speed;
  roll.film_speed_sigma = samples.front().film_speed_sigma;
  roll.date = date_of(analysis);
  if (analysis.camera) {
    roll.battery = analysis.camera->battery;
    if (!analysis.camera->battery_fitted.empty()) {
      roll.battery += " fitted " + analysis.camera->battery_fitted;
    }
  }
  roll.deviations = samples;
  roll.techniques = technique_samples(analysis);
  return roll;
}

bool is_same_roll(const RememberedRoll& a, const RememberedRoll& b) {
  const std::optional<double> day_a = day_of(a.date);
  const std::optional<double> day_b = day_of(b.date);
  if (day_a && day_b && *day_a != *day_b) return false;
  return most_settings_agree(a, b) && most_scenes_agree(a, b);
}

BiasHistory fit_bias_history(std::span<const RememberedRoll> rolls) {
  constexpr Stops kMisfit{kThird};  // of a roll against the rest: the step of dials
  BiasHistory history;
  history.camera = rolls.front().camera;
  std::vector<meter::DeviationSample> deviations;
  std::vector<meter::TechniqueSample> techniques;
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
    for (meter::DeviationSample sample : roll.deviations) {
      sample.roll = roll.name;
      sample.film = roll.film + ", ISO " + as_marked(roll.film_speed);
      sample.film_speed_sigma = roll.film_speed_sigma;
      sample.day = day_of(roll.date);
      deviations.push_back(std::move(sample));
    }
    techniques.insert(techniques.end(), roll.techniques.begin(), roll.techniques.end());
  }
  history.films.assign(films.begin(), films.end());
  history.meter = meter::fit_meter_bias(deviations);
  for (const meter::BiasEffect& effect : history.meter.effects) {
    const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
    if (effect.factor == "roll" && sure && abs(effect.stops.value) >= kMisfit) {
      history.misfits.push_back(effect);
    }
  }
  history.techniques = meter::fit_technique(techniques);
  if (history.meter.bias) history.advice = advice_on(history, *last);
  return history;
}

}  // namespace basefog::roll

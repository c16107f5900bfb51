// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/roll/analysis.hpp"
#include "core/name_list.hpp"
#include "core/stops_text.hpp"
#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

/// A speed this far off is likely to go on drifting, so it is better left alone (judgement).
constexpr Stops kAvoid{1.0};
/// From here on a camera is better mended than corrected for: a whole speed dial, a meter or a cell
/// that far off is a fault and not a tolerance (judgement; common practice).
constexpr Stops kServiceSpeed{1.5};
constexpr Stops kServiceBias{2.0};
constexpr int kServiceSpeeds = 3;
constexpr double kServiceScatter = 0.5;  // stops, from frame to frame

SeenError bias_of(const meter::MeterBias& meter) { return {*meter.bias, meter.frames_used}; }

/// The index at which most rows were exposed, else the film's speed.
FilmSpeed dialled_index(const Analysis& analysis) {
  std::vector<FilmSpeed> indices;
  for (const FrameResult& frame : analysis.frames) {
    if (!frame.log_row) continue;
    if (const auto& ei = analysis.log->rows[*frame.log_row].ei) indices.push_back(*ei);
  }
  if (indices.empty()) return analysis.film.iso_speed;
  std::sort(indices.begin(), indices.end());
  return indices[indices.size() / 2];
}

/// The mark of the camera's own dial that is nearest.
FilmSpeed on_the_dial(const Analysis& analysis, FilmSpeed wanted) {
  if (!analysis.camera || analysis.camera->film_speeds.empty()) return nearest_marked(wanted);
  const auto off = [&](FilmSpeed mark) {
    return std::abs(exact(mark).speed_value() - wanted.speed_value());
  };
  return std::ranges::min(analysis.camera->film_speeds, {}, off);
}

/// True where the interval leaves no doubt that there is a bias worth a third: its near end is a
/// quarter of a third away from nothing.
bool worth_dialling(const StopsEstimate& bias) {
  constexpr Stops kNearEnd{kThird / 4};
  const bool sure = *bias.low > kNearEnd || *bias.high < -kNearEnd;
  return sure && std::abs(bias.value.value()) >= kThird / 2;
}

/// The mark that cures a bias: a meter that over-exposes by a stop at 400 wants 800
/// [JukolartMeters].
FilmSpeed curing_index(const Analysis& analysis, FilmSpeed dialled, Stops bias) {
  return on_the_dial(analysis, FilmSpeed(exact(dialled).iso() * bias.ratio()));
}

/// Where the bias is sure enough to be dialled in.
void add_dial(const Analysis& analysis, std::vector<Advice>& advice) {
  const StopsEstimate& bias = *analysis.meter->bias;
  if (!worth_dialling(bias)) return;
  const FilmSpeed dialled = dialled_index(analysis);
  const FilmSpeed index = curing_index(analysis, dialled, bias.value);
  const SeenError seen = bias_of(*analysis.meter);
  if (index == dialled) {
    advice.emplace_back(DialCompensation{.dialled = dialled, .bias = seen});
  } else {
    advice.emplace_back(DialIndex{.dialled = dialled, .index = index, .bias = seen});
  }
}

Advice on_speed(const meter::BiasEffect& effect) {
  if (abs(effect.stops.value) >= kAvoid) return AvoidSpeed{effect};
  return AllowForSpeed{effect};
}

/// A slope counts from two and a half times its prior's scale: over a day's eight EV it is then 0.4
/// stop (judgement).
bool slope_is_named(const meter::BiasEffect& effect) {
  constexpr Stops kLeastSlope{0.05};
  const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
  return sure && abs(effect.stops.value) >= kLeastSlope;
}

void add_effects(const Analysis& analysis, std::vector<Advice>& advice) {
  for (const meter::BiasEffect& effect : analysis.meter->effects) {
    if (effect.factor == meter::BiasFactor::light_level) {
      const std::string battery = analysis.camera ? analysis.camera->battery : "";
      if (slope_is_named(effect)) advice.emplace_back(CheckCell{effect, battery});
      continue;
    }
    if (!meter::is_named(effect)) continue;
    if (effect.factor == meter::BiasFactor::shutter) advice.push_back(on_speed(effect));
    if (effect.factor == meter::BiasFactor::aperture) advice.emplace_back(AllowForAperture{effect});
    if (effect.factor == meter::BiasFactor::lens) advice.emplace_back(CheckLens{effect});
  }
}

/// When correcting is the wrong answer.
void add_service(const meter::MeterBias& meter, std::vector<Advice>& advice) {
  HaveServiced facts{.bias = bias_of(meter)};
  int speeds = 0;
  for (const meter::BiasEffect& effect : meter.effects) {
    if (effect.factor != meter::BiasFactor::shutter || !meter::is_named(effect)) continue;
    ++speeds;
    facts.speed_far_off = facts.speed_far_off || abs(effect.stops.value) >= kServiceSpeed;
  }
  if (speeds >= kServiceSpeeds) facts.speeds_off = speeds;
  const bool surely_far = *meter.bias->low > Stops(1) || *meter.bias->high < Stops(-1);
  facts.camera_far_off = surely_far && abs(meter.bias->value) >= kServiceBias;
  if (meter.scatter >= kServiceScatter && meter.frames_used >= 12) facts.scatter = meter.scatter;
  if (facts.speed_far_off || facts.speeds_off || facts.camera_far_off || facts.scatter) {
    advice.emplace_back(facts);
  }
}

/// Where no error of the camera shows; how much could hide is part of the answer.
NothingToChange nothing_to_change(const meter::MeterBias& meter) {
  constexpr Stops kHidden{2 * kThird};  // less need not be said (judgement)
  const Stops hidden = std::max(abs(*meter.bias->low), abs(*meter.bias->high));
  return {.bias = bias_of(meter),
          .could_hide = hidden < kHidden ? std::nullopt : std::optional(hidden)};
}

std::vector<Advice> advise_on_camera(const Analysis& analysis) {
  std::vector<Advice> advice;
  if (!analysis.meter || !analysis.meter->bias) return advice;
  add_dial(analysis, advice);
  add_effects(analysis, advice);
  add_service(*analysis.meter, advice);
  if (advice.empty()) advice.emplace_back(nothing_to_change(*analysis.meter));
  return advice;
}

/// What to add for scenes, beyond a true meter.
void add_scenes(const Analysis& analysis, std::vector<Advice>& advice) {
  for (const meter::SceneTechnique& technique : analysis.techniques) {
    const bool sure = *technique.stops.low > Stops(0) || *technique.stops.high < Stops(0);
    if (technique.mode || technique.frames < 2 || !sure ||
        std::abs(technique.stops.value.value()) < kThird) {
      continue;
    }
    const bool done = std::abs((technique.stops.value - technique.asked).value()) < kThird &&
                      std::abs(technique.asked.value()) >= kThird;
    advice.emplace_back(MeterScene{.technique = technique, .already_done = done});
  }
}

/// How likely another mark of the dial is nearer to what a bias wants than the present one: where
/// the bias lies beyond the middle between both.
double chance_of_better(const StopsEstimate& bias, FilmSpeed dialled, FilmSpeed index) {
  const double step = std::abs(exact(index).speed_value() - exact(dialled).speed_value());
  const double sigma = (*bias.high - *bias.low).value() / (2 * kNormal975);
  return numeric::normal_cdf((std::abs(bias.value.value()) - step / 2) / sigma);
}

/// A bias that looks worth dialling but is not sure.
void add_open_bias(const Analysis& analysis, std::vector<Advice>& advice) {
  if (!analysis.meter || !analysis.meter->bias) return;
  const StopsEstimate& bias = *analysis.meter->bias;
  if (worth_dialling(bias) || abs(bias.value) < Stops(kThird)) return;
  const FilmSpeed dialled = dialled_index(analysis);
  const FilmSpeed index = curing_index(analysis, dialled, bias.value);
  advice.emplace_back(TestBias{.dialled = dialled,
                               .index = index,
                               .chance = chance_of_better(bias, dialled, index),
                               .bias = bias_of(*analysis.meter)});
}

/// The level that looks worst of those that are not settled.
void add_open_level(const Analysis& analysis, std::vector<Advice>& advice) {
  constexpr Stops kSuspect{0.25};  // nearly a third, the step of dials (judgement)
  constexpr int kMostFrames = 12;  // more is a film of its own
  if (!analysis.meter) return;
  const meter::BiasEffect* worst = nullptr;
  for (const meter::BiasEffect& effect : analysis.meter->effects) {
    const bool setting =
        effect.factor == meter::BiasFactor::shutter || effect.factor == meter::BiasFactor::aperture;
    if (!setting || meter::is_named(effect) || abs(effect.stops.value) < kSuspect) continue;
    if (worst == nullptr || abs(effect.stops.value) > abs(worst->stops.value)) worst = &effect;
  }
  if (worst == nullptr) return;
  const int frames = std::clamp(worst->frames_to_settle.value_or(3), 1, kMostFrames);
  advice.emplace_back(TestLevel{.level = *worst, .frames = frames});
}

/// What would make the next roll's answers surer.
std::vector<Advice> advise_on_testing(const Analysis& analysis) {
  std::vector<Advice> advice;
  const auto unreferenced = std::count_if(
      analysis.frames.begin(), analysis.frames.end(),
      [](const FrameResult& frame) { return frame.state == density::FrameState::no_reference; });
  if (unreferenced > 0) {
    advice.emplace_back(ScanWithRebate{.without_zero = static_cast<int>(unreferenced),
                                       .frames = static_cast<int>(analysis.frames.size())});
  }
  add_open_bias(analysis, advice);
  add_open_level(analysis, advice);
  if (analysis.film.contrast_is_assumed()) {
    advice.emplace_back(TestContrast{analysis.film.contrast_relative_sigma});
  }
  return advice;
}

/// What corrections hold for; only where there are any.
void add_caution(const Analysis& analysis, std::vector<Advice>& advice) {
  const bool corrects = std::ranges::any_of(advice, [](const Advice& one) {
    const AdviceKind kind = kind_of(one);
    return kind == AdviceKind::dial_exposure_index || kind == AdviceKind::allow_for_speed ||
           kind == AdviceKind::allow_for_aperture;
  });
  if (corrects) advice.emplace_back(Caution{analysis.film.speed_measured});
}

}  // namespace

std::string_view name_of(AdviceKind kind) {
  return name_in(std::to_array<std::string_view>(
                     {"nothing_to_change", "dial_exposure_index", "allow_for_speed", "avoid_speed",
                      "allow_for_aperture", "check_lens", "check_meter", "metering", "service",
                      "scanning", "test_next", "caution"}),
                 kind);
}

AdviceKind kind_of(const Advice& advice) {
  return std::visit([](const auto& facts) { return facts.kind; }, advice);
}

std::optional<Stops> correction_of(const Advice& advice) {
  return std::visit(
      [](const auto& facts) -> std::optional<Stops> {
        if constexpr (requires { facts.correction(); }) return to_nearest_third(facts.correction());
        return std::nullopt;
      },
      advice);
}

std::vector<Advice> advise(const Analysis& analysis) {
  std::vector<Advice> advice = advise_on_camera(analysis);
  add_scenes(analysis, advice);
  std::vector<Advice> testing = advise_on_testing(analysis);
  advice.insert(advice.end(), testing.begin(), testing.end());
  add_caution(analysis, advice);
  return advice;
}

}  // namespace basefog::roll

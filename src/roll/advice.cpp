// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/name_list.hpp"
#include "core/thirds.hpp"
#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

/// A speed this far off is likely to go on drifting, so it is better left alone (judgement).
constexpr Stops kAvoid{1.0};
/// From here on a camera is better repaired than corrected for: a whole speed dial, a meter or a
/// cell that far off is a fault and not a tolerance (judgement; common practice).
constexpr Stops kServiceSpeed{1.5};
constexpr Stops kServiceBias{2.0};
constexpr int kServiceSpeeds = 3;
constexpr double kServiceScatter = 0.5;  // stops, from frame to frame

SeenError bias_of(const meter::MeterBias& meter) { return {*meter.bias, meter.frames_used}; }

FilmSpeed dialled_index(const AdviceBasis& basis) {
  return basis.dialled.value_or(basis.film.iso_speed);
}

/// The mark of the camera's own dial that is nearest.
FilmSpeed on_the_dial(const AdviceBasis& basis, FilmSpeed wanted) {
  if (!basis.camera || basis.camera->film_speeds.empty()) return nearest_marked(wanted);
  const auto off = [&](FilmSpeed mark) {
    return std::abs(exact(mark).speed_value() - wanted.speed_value());
  };
  return std::ranges::min(basis.camera->film_speeds, {}, off);
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
FilmSpeed curing_index(const AdviceBasis& basis, FilmSpeed dialled, Stops bias) {
  return on_the_dial(basis, FilmSpeed(exact(dialled).iso() * bias.ratio()));
}

/// Where the bias is sure enough to be dialled in.
void add_dial(const AdviceBasis& basis, std::vector<Advice>& advice) {
  const StopsEstimate& bias = *basis.meter->bias;
  if (!worth_dialling(bias)) return;
  const FilmSpeed dialled = dialled_index(basis);
  const FilmSpeed index = curing_index(basis, dialled, bias.value);
  const SeenError seen = bias_of(*basis.meter);
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

void add_effects(const AdviceBasis& basis, std::vector<Advice>& advice) {
  for (const meter::BiasEffect& effect : basis.meter->effects) {
    if (effect.factor == meter::BiasFactor::light_level) {
      const std::string battery = basis.camera ? basis.camera->battery : "";
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

/// What to say of a camera without a visible error: also how large an error could be and not show.
NothingToChange nothing_to_change(const meter::MeterBias& meter) {
  constexpr Stops kHidden{2 * kThird};  // less need not be said (judgement)
  const Stops hidden = std::max(abs(*meter.bias->low), abs(*meter.bias->high));
  return {.bias = bias_of(meter),
          .could_hide = hidden < kHidden ? std::nullopt : std::optional(hidden)};
}

std::vector<Advice> advise_on_camera(const AdviceBasis& basis) {
  std::vector<Advice> advice;
  if (!basis.meter || !basis.meter->bias) return advice;
  add_dial(basis, advice);
  add_effects(basis, advice);
  add_service(*basis.meter, advice);
  if (advice.empty()) advice.emplace_back(nothing_to_change(*basis.meter));
  return advice;
}

/// What to add for scenes, beyond a true meter: where three frames and three in four agree.
void add_scenes(const AdviceBasis& basis, std::vector<Advice>& advice) {
  for (const meter::SceneTechnique& technique : basis.techniques) {
    const bool sure = *technique.stops.low > Stops(0) || *technique.stops.high < Stops(0);
    constexpr int kLeastFrames = 3;  // two agree by chance once in two (judgement)
    const bool agree =
        technique.agreeing >= kLeastFrames && 4 * technique.agreeing >= 3 * technique.frames;
    if (technique.mode || !agree || !sure || std::abs(technique.stops.value.value()) < kThird) {
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
void add_open_bias(const AdviceBasis& basis, std::vector<Advice>& advice) {
  if (!basis.meter || !basis.meter->bias) return;
  const StopsEstimate& bias = *basis.meter->bias;
  if (worth_dialling(bias) || abs(bias.value) < Stops(kThird)) return;
  const FilmSpeed dialled = dialled_index(basis);
  const FilmSpeed index = curing_index(basis, dialled, bias.value);
  advice.emplace_back(TestBias{.dialled = dialled,
                               .index = index,
                               .chance = chance_of_better(bias, dialled, index),
                               .bias = bias_of(*basis.meter)});
}

/// The level that looks worst of those that are not settled.
void add_open_level(const AdviceBasis& basis, std::vector<Advice>& advice) {
  constexpr Stops kSuspect{0.25};  // nearly a third, the step of dials (judgement)
  constexpr int kMostFrames = 12;  // more is a film of its own
  if (!basis.meter) return;
  const meter::BiasEffect* worst = nullptr;
  for (const meter::BiasEffect& effect : basis.meter->effects) {
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
std::vector<Advice> advise_on_testing(const AdviceBasis& basis) {
  std::vector<Advice> advice;
  if (basis.frames_without_zero > 0) {
    advice.emplace_back(ScanWithRebate{.without_zero = static_cast<int>(basis.frames_without_zero),
                                       .frames = static_cast<int>(basis.frames)});
  }
  add_open_bias(basis, advice);
  add_open_level(basis, advice);
  if (basis.film.contrast_is_assumed()) {
    advice.emplace_back(TestContrast{basis.film.contrast_relative_sigma});
  }
  return advice;
}

/// What corrections hold for; only where there are any.
void add_caution(const AdviceBasis& basis, std::vector<Advice>& advice) {
  const bool corrects = std::ranges::any_of(advice, [](const Advice& one) {
    const AdviceKind kind = kind_of(one);
    return kind == AdviceKind::dial_exposure_index || kind == AdviceKind::allow_for_speed ||
           kind == AdviceKind::allow_for_aperture;
  });
  if (corrects) advice.emplace_back(Caution{basis.film.speed_measured});
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

std::vector<Advice> advise(const AdviceBasis& basis) {
  std::vector<Advice> advice = advise_on_camera(basis);
  add_scenes(basis, advice);
  std::vector<Advice> testing = advise_on_testing(basis);
  advice.insert(advice.end(), testing.begin(), testing.end());
  add_caution(basis, advice);
  return advice;
}

}  // namespace basefog::roll

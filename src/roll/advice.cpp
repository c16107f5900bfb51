// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <algorithm>
#include <array>

#include "core/name_list.hpp"

namespace basefog::roll {
namespace {

/// From here on a camera is better repaired than corrected for: a whole speed dial, a meter or a
/// cell that far off is a fault and not a tolerance (judgement; common practice).
constexpr Stops kServiceSpeed{1.5};
constexpr Stops kServiceBias{2.0};
constexpr int kServiceSpeeds = 3;
constexpr double kServiceScatter = 0.5;  // stops, from frame to frame

SeenError bias_of(const meter::MeterBias& meter) { return {*meter.bias, meter.frames_used}; }

std::vector<Advice> blockers(const AdviceBasis& basis) {
  std::vector<Advice> advice;
  const FaultyScans& scans = basis.scans;
  for (const auto& [fault, faulty] : {std::pair(ScanFault::positive, scans.positive),
                                      std::pair(ScanFault::without_zero, scans.without_zero),
                                      std::pair(ScanFault::clipped_base, scans.clipped_base)}) {
    const ScanAgain again{.fault = fault, .faulty = faulty, .frames = scans.frames};
    if (faulty > 0 && blocks(again)) advice.emplace_back(again);
  }
  for (const QuestionAbout about : basis.open) advice.emplace_back(AnswerFirst{about});
  return advice;
}

/// A slope counts from two and a half times its prior's scale: over a day's eight EV it is then 0.4
/// stop (judgement).
bool slope_is_named(const meter::BiasEffect& effect) {
  constexpr Stops kLeastSlope{0.05};
  const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
  return sure && abs(effect.stops.value) >= kLeastSlope;
}

/// What no dial and no allowance cures.
void add_checks(const AdviceBasis& basis, std::vector<Advice>& advice) {
  for (const meter::BiasEffect& effect : basis.meter->effects) {
    if (effect.factor == meter::BiasFactor::light_level) {
      if (slope_is_named(effect)) advice.emplace_back(CheckCell{effect, basis.battery});
      continue;
    }
    if (!meter::is_named(effect)) continue;
    if (effect.factor == meter::BiasFactor::aperture) advice.emplace_back(CheckAperture{effect});
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

/// Whether the plan says what to do at a level already.
bool is_planned(const AdviceBasis& basis, const meter::BiasEffect& effect) {
  return basis.next_roll &&
         std::ranges::any_of(basis.next_roll->add, [&](const plan::Allowance& one) {
           return one.what != plan::AllowanceFor::scene && one.level == effect.level;
         });
}

/// The level that looks worst of those that are neither settled nor planned for.
void add_open_level(const AdviceBasis& basis, std::vector<Advice>& advice) {
  constexpr Stops kSuspect{0.25};  // nearly a third, the step of dials (judgement)
  constexpr int kMostFrames = 12;  // more is a film of its own
  const meter::BiasEffect* worst = nullptr;
  for (const meter::BiasEffect& effect : basis.meter->effects) {
    const bool setting =
        effect.factor == meter::BiasFactor::shutter || effect.factor == meter::BiasFactor::aperture;
    if (!setting || meter::is_named(effect) || abs(effect.stops.value) < kSuspect) continue;
    if (is_planned(basis, effect)) continue;
    if (worst == nullptr || abs(effect.stops.value) > abs(worst->stops.value)) worst = &effect;
  }
  if (worst == nullptr) return;
  const int frames = std::clamp(worst->frames_to_settle.value_or(3), 1, kMostFrames);
  advice.emplace_back(TestLevel{.level = *worst, .frames = frames});
}

/// What would make the next roll's answers surer.
void add_tests(const AdviceBasis& basis, std::vector<Advice>& advice) {
  if (basis.scans.without_zero > 0) {
    advice.emplace_back(ScanAgain{.fault = ScanFault::without_zero,
                                  .faulty = basis.scans.without_zero,
                                  .frames = basis.scans.frames});
  }
  if (basis.meter && basis.meter->bias) add_open_level(basis, advice);
  if (basis.film.contrast_is_assumed()) {
    advice.emplace_back(TestContrast{basis.film.contrast_relative_sigma});
  }
}

}  // namespace

std::string_view name_of(AdviceKind kind) {
  return name_in(
      std::to_array<std::string_view>({"question", "rescan", "service", "test_next", "caution"}),
      kind);
}

AdviceKind kind_of(const Advice& advice) {
  return std::visit([](const auto& facts) { return facts.kind; }, advice);
}

bool blocks(const Advice& advice) {
  if (const auto* scans = std::get_if<ScanAgain>(&advice))
    return 2 * scans->faulty >= scans->frames;
  return std::holds_alternative<AnswerFirst>(advice);
}

std::vector<Advice> advise(const AdviceBasis& basis) {
  std::vector<Advice> advice = blockers(basis);
  if (!advice.empty()) return advice;
  if (basis.meter && basis.meter->bias) {
    add_service(*basis.meter, advice);
    add_checks(basis, advice);
  }
  add_tests(basis, advice);
  const bool corrects = basis.next_roll && basis.next_roll->state == plan::PlanState::change;
  if (corrects) advice.emplace_back(Caution{basis.film.speed_measured});
  return advice;
}

}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <fmt/format.h>

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
/// From here on a camera is better repaired than corrected for: a whole speed dial, a meter or a
/// cell that far off is a fault and not a tolerance (judgement; common practice).
constexpr Stops kServiceSpeed{1.5};
constexpr Stops kServiceBias{2.0};
constexpr int kServiceSpeeds = 3;
constexpr double kServiceScatter = 0.5;  // stops, from frame to frame

std::string too_much_or_little(Stops error) {
  return amount_of_stops(error) + (error > Stops(0) ? " too much" : " too little");
}

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
  if (index == dialled) {
    const std::string amount = stops_in_thirds(-bias.value);
    advice.push_back({.kind = AdviceKind::dial_exposure_index,
                      .text = fmt::format(
                          "Leave the dial at {} and set compensation {}, or allow for it by hand: "
                          "the camera gives {}, and the dial has no mark that is nearer.",
                          as_marked(dialled), amount, too_much_or_little(bias.value)),
                      .stops = to_nearest_third(-bias.value),
                      .set = "compensation " + amount,
                      .evidence = evidence_text(bias, analysis.meter->frames_used)});
    return;
  }
  advice.push_back(
      {.kind = AdviceKind::dial_exposure_index,
       .text = fmt::format("Set the dial to {} instead of {}: the camera gives {}.",
                           as_marked(index), as_marked(dialled), too_much_or_little(bias.value)),
       .stops = to_nearest_third(-bias.value),
       .set = "EI " + as_marked(index),
       .evidence = evidence_text(bias, analysis.meter->frames_used)});
}

Advice on_speed(const meter::BiasEffect& effect) {
  const bool avoid = abs(effect.stops.value) >= kAvoid;
  return {.kind = avoid ? AdviceKind::avoid_speed : AdviceKind::allow_for_speed,
          .text = fmt::format("{} {}: it gives {}.", avoid ? "Avoid" : "Allow for", effect.level,
                              too_much_or_little(effect.stops.value)),
          .stops = to_nearest_third(-effect.stops.value),
          .set = effect.level,
          .evidence = evidence_text(effect.stops, effect.frames)};
}

Advice on_aperture(const meter::BiasEffect& effect) {
  return {.kind = AdviceKind::allow_for_aperture,
          .text = fmt::format("Allow for {}: it gives {}. Look whether the blades close and open "
                              "freely.",
                              effect.level, too_much_or_little(effect.stops.value)),
          .stops = to_nearest_third(-effect.stops.value),
          .set = effect.level,
          .evidence = evidence_text(effect.stops, effect.frames)};
}

Advice on_lens(const meter::BiasEffect& effect) {
  return {.kind = AdviceKind::check_lens,
          .text = fmt::format("Check the lens \"{}\": with it the film gets {} than with the "
                              "others. Sticking blades, haze, or a filter that the log leaves out "
                              "do this.",
                              effect.level,
                              amount_of_stops(effect.stops.value) +
                                  (effect.stops.value > Stops(0) ? " more" : " less")),
          .stops = to_nearest_third(-effect.stops.value),
          .set = effect.level,
          .evidence = evidence_text(effect.stops, effect.frames)};
}

Advice on_light_level(const Analysis& analysis, const meter::BiasEffect& effect) {
  const bool in_bright = effect.stops.value > Stops(0);
  std::string battery;
  if (analysis.camera && !analysis.camera->battery.empty()) {
    battery = " (the camera file says " + analysis.camera->battery + ")";
  }
  return {.kind = AdviceKind::check_meter,
          .text = fmt::format(
              "The meter gives {:.2f} stop {} for each EV of brighter light: a worn cell or a "
              "battery of the wrong voltage does this. Try a fresh battery of the right kind{} and "
              "another roll; if it stays, have the meter looked at.",
              std::abs(effect.stops.value.value()), in_bright ? "more" : "less", battery),
          .evidence = fmt::format("{:+.2f} ({:+.2f} to {:+.2f}) stop per EV over {}",
                                  effect.stops.value.value(), effect.stops.low->value(),
                                  effect.stops.high->value(), frames_text(effect.frames))};
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
    if (effect.factor == "light_level") {
      if (slope_is_named(effect)) advice.push_back(on_light_level(analysis, effect));
      continue;
    }
    if (!meter::is_named(effect)) continue;
    if (effect.factor == "shutter") advice.push_back(on_speed(effect));
    if (effect.factor == "aperture") advice.push_back(on_aperture(effect));
    if (effect.factor == "lens") advice.push_back(on_lens(effect));
  }
}

/// When correcting is the wrong answer.
void add_service(const Analysis& analysis, std::vector<Advice>& advice) {
  const meter::MeterBias& meter = *analysis.meter;
  std::vector<std::string> why;
  int speeds = 0;
  bool far_off = false;
  for (const meter::BiasEffect& effect : meter.effects) {
    if (effect.factor != "shutter" || !meter::is_named(effect)) continue;
    ++speeds;
    far_off = far_off || abs(effect.stops.value) >= kServiceSpeed;
  }
  if (far_off) why.emplace_back("a speed is off by a stop and a half or more");
  if (speeds >= kServiceSpeeds) why.push_back(fmt::format("{} speeds are off", speeds));
  const bool surely_far = *meter.bias->low > Stops(1) || *meter.bias->high < Stops(-1);
  if (surely_far && abs(meter.bias->value) >= kServiceBias) {
    why.emplace_back("the whole camera is off by two stops or more");
  }
  if (meter.scatter >= kServiceScatter && meter.frames_used >= 12) {
    why.push_back(fmt::format("frames scatter by {:.1f} stop", meter.scatter));
  }
  if (why.empty()) return;
  std::string reasons;
  for (const std::string& reason : why) reasons += (reasons.empty() ? "" : ", ") + reason;
  advice.push_back({.kind = AdviceKind::service,
                    .text = "Have the camera serviced rather than correct for it: " + reasons +
                            ". Corrections for such errors do not last.",
                    .evidence = evidence_text(*meter.bias, meter.frames_used)});
}

/// What to say of a camera without a visible error: also how large an error could be and not show.
Advice nothing_to_change(const meter::MeterBias& meter) {
  constexpr Stops kHidden{2 * kThird};  // less is not worth a word (judgement)
  const Stops hidden = std::max(abs(*meter.bias->low), abs(*meter.bias->high));
  return {.kind = AdviceKind::nothing_to_change,
          .text = hidden < kHidden
                      ? "Nothing to change: the camera did what the log asked for."
                      : fmt::format("Nothing to change: no error of the camera shows, though one "
                                    "of up to {} could hide.",
                                    amount_of_stops(hidden)),
          .evidence = evidence_text(*meter.bias, meter.frames_used)};
}

std::vector<Advice> advise_on_camera(const Analysis& analysis) {
  std::vector<Advice> advice;
  if (!analysis.meter || !analysis.meter->bias) return advice;
  add_dial(analysis, advice);
  add_effects(analysis, advice);
  add_service(analysis, advice);
  if (advice.empty()) advice.push_back(nothing_to_change(*analysis.meter));
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
    const std::string amount = stops_in_thirds(technique.stops.value);
    const bool done = std::abs((technique.stops.value - technique.asked).value()) < kThird &&
                      std::abs(technique.asked.value()) >= kThird;
    std::string text =
        done ? fmt::format("Go on dialling {} for {}.", amount, technique.scene)
             : fmt::format("Dial {} beyond the meter for {}.", amount, technique.scene);
    if (!done && std::abs(technique.asked.value()) >= kThird / 2) {
      text += fmt::format(" On this roll it was {}.", stops_in_thirds(technique.asked));
    }
    advice.push_back({.kind = AdviceKind::metering,
                      .text = std::move(text),
                      .stops = to_nearest_third(technique.stops.value),
                      .set = technique.scene,
                      .evidence = evidence_text(technique.stops, technique.frames)});
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
  Advice open{.kind = AdviceKind::test_next,
              .text = fmt::format("The camera may give {}", too_much_or_little(bias.value)),
              .evidence = evidence_text(bias, analysis.meter->frames_used)};
  if (index == dialled) {
    open.text += ", which is not sure yet";
  } else {
    open.text += fmt::format(": with a chance of {:.0f} % {} on the dial is a better guess than {}",
                             100 * chance_of_better(bias, dialled, index), as_marked(index),
                             as_marked(dialled));
    open.set = "EI " + as_marked(index);
  }
  open.text += ". Another roll, a film test, or one view bracketed would tell.";
  advice.push_back(std::move(open));
}

/// The level that looks worst of those that are not settled.
void add_open_level(const Analysis& analysis, std::vector<Advice>& advice) {
  constexpr Stops kSuspect{0.25};  // nearly a third, the step of dials (judgement)
  constexpr int kMostFrames = 12;  // more is a film of its own
  if (!analysis.meter) return;
  const meter::BiasEffect* worst = nullptr;
  for (const meter::BiasEffect& effect : analysis.meter->effects) {
    const bool setting = effect.factor == "shutter" || effect.factor == "aperture";
    if (!setting || meter::is_named(effect) || abs(effect.stops.value) < kSuspect) continue;
    if (worst == nullptr || abs(effect.stops.value) > abs(worst->stops.value)) worst = &effect;
  }
  if (worst == nullptr) return;
  const int frames = std::clamp(worst->frames_to_settle.value_or(3), 1, kMostFrames);
  advice.push_back({.kind = AdviceKind::test_next,
                    .text = fmt::format("{} more {} at {} would settle whether it is off.", frames,
                                        frames == 1 ? "frame" : "frames", worst->level),
                    .set = worst->level,
                    .evidence = evidence_text(worst->stops, worst->frames)});
}

/// What would make the next roll's answers surer.
std::vector<Advice> advise_on_testing(const Analysis& analysis) {
  std::vector<Advice> advice;
  const auto unreferenced = std::count_if(
      analysis.frames.begin(), analysis.frames.end(),
      [](const FrameResult& frame) { return frame.state == density::FrameState::no_reference; });
  if (unreferenced > 0) {
    advice.push_back(
        {.kind = AdviceKind::scanning,
         .text = "Scan with a strip of clear rebate in view and the scanner's exposure locked.",
         .evidence = fmt::format("{} of {} frames have no density zero", unreferenced,
                                 analysis.frames.size())});
  }
  add_open_bias(analysis, advice);
  add_open_level(analysis, advice);
  if (analysis.film.contrast_is_assumed()) {
    advice.push_back(
        {.kind = AdviceKind::test_next,
         .text = "Shoot one view three times on the next roll, a stop under, as metered and a stop "
                 "over: it measures the film's contrast.",
         .evidence = fmt::format("contrast is generic, uncertain by {:.0f} %",
                                 100 * analysis.film.contrast_relative_sigma)});
  }
  return advice;
}

/// What corrections hold for; only where there are any.
void add_caution(const Analysis& analysis, std::vector<Advice>& advice) {
  const bool corrects = std::ranges::any_of(advice, [](const Advice& one) {
    return one.kind == AdviceKind::dial_exposure_index || one.kind == AdviceKind::allow_for_speed ||
           one.kind == AdviceKind::allow_for_aperture;
  });
  if (!corrects) return;
  const bool speed_known = analysis.film.speed_measured;
  advice.push_back(
      {.kind = AdviceKind::caution,
       .text = fmt::format("These corrections hold for this meter with this film, development and "
                           "scanner; {}the meter constant K, which makers choose differently, "
                           "shifts all frames by up to a third of a stop.",
                           speed_known ? "" : "the film's true speed is in them, and "),
       .stops = std::nullopt,
       .set = "",
       .evidence = ""});
}

}  // namespace

std::string_view name_of(AdviceKind kind) {
  return name_in(std::to_array<std::string_view>(
                     {"nothing_to_change", "dial_exposure_index", "allow_for_speed", "avoid_speed",
                      "allow_for_aperture", "check_lens", "check_meter", "metering", "service",
                      "scanning", "test_next", "caution"}),
                 kind);
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

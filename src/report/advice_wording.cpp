// SPDX-License-Identifier: GPL-3.0-or-later
// A function a kind of advice; advice_words takes the one that fits the facts.
#include "basefog/report/advice_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <vector>

#include "core/thirds.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

std::string too_much_or_little(Stops error) {
  return amount_of_stops(error) + (error > Stops(0) ? " too much" : " too little");
}

std::string more_or_less(Stops change) {
  return amount_of_stops(change) + (change > Stops(0) ? " more" : " less");
}

std::string evidence_of(const roll::SeenError& error) {
  return evidence_text(error.stops, error.frames);
}

std::string evidence_of(const meter::BiasEffect& effect) {
  return evidence_text(effect.stops, effect.frames);
}

AdviceWords words(const roll::NothingToChange& facts) {
  return {.before = facts.could_hide
                        ? fmt::format("Nothing to change: no error of the camera shows, though one "
                                      "of up to {} could hide.",
                                      amount_of_stops(*facts.could_hide))
                        : "Nothing to change: the camera did what the log asked for.",
          .evidence = evidence_of(facts.bias)};
}

AdviceWords words(const roll::DialIndex& facts) {
  return {.before = "Set the dial to ",
          .setting = as_marked(facts.index),
          .after = fmt::format(" instead of {}: the camera gives {}.", as_marked(facts.dialled),
                               too_much_or_little(facts.bias.stops.value)),
          .set = "EI " + as_marked(facts.index),
          .evidence = evidence_of(facts.bias)};
}

AdviceWords words(const roll::DialCompensation& facts) {
  const std::string set = "compensation " + stops_in_thirds(-facts.bias.stops.value);
  return {.before = fmt::format("Leave the dial at {} and set ", as_marked(facts.dialled)),
          .setting = set,
          .after = fmt::format(", or allow for it by hand: the camera gives {}, and the dial has "
                               "no mark that is nearer.",
                               too_much_or_little(facts.bias.stops.value)),
          .set = set,
          .evidence = evidence_of(facts.bias)};
}

AdviceWords on_level(const char* before, const meter::BiasEffect& effect, std::string after) {
  return {.before = before,
          .setting = effect.level,
          .after = std::move(after),
          .set = effect.level,
          .evidence = evidence_of(effect)};
}

AdviceWords words(const roll::AllowForSpeed& facts) {
  return on_level("Allow for ", facts.speed,
                  fmt::format(": it gives {}.", too_much_or_little(facts.speed.stops.value)));
}

AdviceWords words(const roll::AvoidSpeed& facts) {
  return on_level("Avoid ", facts.speed,
                  fmt::format(": it gives {}.", too_much_or_little(facts.speed.stops.value)));
}

AdviceWords words(const roll::AllowForAperture& facts) {
  return on_level("Allow for ", facts.aperture,
                  fmt::format(": it gives {}. Look whether the blades close and open freely.",
                              too_much_or_little(facts.aperture.stops.value)));
}

AdviceWords words(const roll::CheckLens& facts) {
  return on_level("Check the lens \"", facts.lens,
                  fmt::format("\": with it the film gets {} than with the others. Sticking blades, "
                              "haze, or a filter that the log leaves out do this.",
                              more_or_less(facts.lens.stops.value)));
}

AdviceWords words(const roll::CheckCell& facts) {
  const Stops slope = facts.slope.stops.value;
  const std::string battery =
      facts.battery.empty() ? "" : fmt::format(" (the camera file says {})", facts.battery);
  return {.before = fmt::format(
              "The meter gives {:.2f} stop {} for each EV of brighter light: a worn cell or a "
              "battery of the wrong voltage does this. Try a fresh battery of the right kind{} and "
              "another roll; if it stays, have the meter looked at.",
              std::abs(slope.value()), slope > Stops(0) ? "more" : "less", battery),
          .evidence = fmt::format("{} stop per EV over {}", effect_text(facts.slope),
                                  frames_text(facts.slope.frames))};
}

AdviceWords words(const roll::CheckDrift& facts) {
  return {.before = fmt::format(
              "The meter has come to give {} than at first: put in a fresh battery, and if the "
              "next roll shows the same, have the meter looked at.",
              more_or_less(facts.change.stops.value)),
          .evidence = fmt::format("{} in {:.0f} days", evidence_of(facts.change), facts.days)};
}

AdviceWords words(const roll::MeterScene& facts) {
  const meter::SceneTechnique& technique = facts.technique;
  const std::string amount = stops_in_thirds(technique.stops.value);
  const bool part_was_asked =
      !facts.already_done && std::abs(technique.asked.value()) >= kThird / 2;
  return {.before = fmt::format(fmt::runtime(facts.already_done ? "Go on dialling {} for "
                                                                : "Dial {} beyond the meter for "),
                                amount),
          .setting = technique.scene,
          .after = part_was_asked
                       ? fmt::format(". On this roll it was {}.", stops_in_thirds(technique.asked))
                       : ".",
          .set = technique.scene,
          .evidence = evidence_text(technique.stops, technique.frames)};
}

AdviceWords words(const roll::HaveServiced& facts) {
  std::vector<std::string> why;
  if (facts.speed_far_off) why.emplace_back("a speed is off by a stop and a half or more");
  if (facts.speeds_off) why.push_back(fmt::format("{} speeds are off", *facts.speeds_off));
  if (facts.camera_far_off) why.emplace_back("the whole camera is off by two stops or more");
  if (facts.scatter) why.push_back(fmt::format("frames scatter by {:.1f} stop", *facts.scatter));
  return {.before = fmt::format("Have the camera serviced rather than correct for it: {}. "
                                "Corrections for such errors do not last.",
                                fmt::join(why, ", ")),
          .evidence = evidence_of(facts.bias)};
}

AdviceWords words(const roll::ScanWithRebate& facts) {
  return {.before = "Scan with a strip of clear rebate in view and the scanner's exposure locked.",
          .evidence = fmt::format("{} of {} frames have no density zero", facts.without_zero,
                                  facts.frames)};
}

AdviceWords words(const roll::TestBias& facts) {
  const std::string gives = "The camera may give " + too_much_or_little(facts.bias.stops.value);
  const std::string tests = "Another roll, a film test, or one view bracketed would tell.";
  if (facts.index == facts.dialled) {
    return {.before = gives + ", which is not sure yet. " + tests,
            .evidence = evidence_of(facts.bias)};
  }
  return {.before = fmt::format("{}: with a chance of {:.0f} % ", gives, 100 * facts.chance),
          .setting = as_marked(facts.index),
          .after = fmt::format(" on the dial is a better guess than {}. {}",
                               as_marked(facts.dialled), tests),
          .set = "EI " + as_marked(facts.index),
          .evidence = evidence_of(facts.bias)};
}

AdviceWords words(const roll::TestLevel& facts) {
  return {
      .before = fmt::format("{} more {} at ", facts.frames, facts.frames == 1 ? "frame" : "frames"),
      .setting = facts.level.level,
      .after = " would settle whether it is off.",
      .set = facts.level.level,
      .evidence = evidence_of(facts.level)};
}

AdviceWords words(const roll::TestContrast& facts) {
  return {.before =
              "Shoot one view three times on the next roll, a stop under, as metered and a stop "
              "over: it measures the film's contrast.",
          .evidence = fmt::format("contrast is generic, uncertain by {:.0f} %",
                                  100 * facts.relative_sigma)};
}

AdviceWords words(const roll::Caution& facts) {
  return {.before = fmt::format(
              "These corrections hold for this meter with this film, development and scanner; {}"
              "the meter constant K, which makers choose differently, shifts all frames by up to a "
              "third of a stop.",
              facts.film_speed_measured ? "" : "the film's true speed is in them, and ")};
}

}  // namespace

AdviceWords advice_words(const roll::Advice& advice) {
  return std::visit([](const auto& facts) { return words(facts); }, advice);
}

std::vector<std::string> advice_sentences(const std::vector<roll::Advice>& advice) {
  std::vector<std::string> sentences;
  for (const roll::Advice& one : advice) {
    const AdviceWords words = advice_words(one);
    sentences.push_back(words.text() + (words.evidence.empty() ? "" : " [" + words.evidence + "]"));
  }
  return sentences;
}

}  // namespace basefog::report

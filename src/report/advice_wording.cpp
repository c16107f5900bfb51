// SPDX-License-Identifier: GPL-3.0-or-later
// A function a kind of advice; advice_words takes the one that fits the facts.
#include "basefog/report/advice_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <vector>

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

AdviceWords on_level(const char* before, const meter::BiasEffect& effect, std::string after) {
  return {.before = before,
          .setting = effect.level,
          .after = std::move(after),
          .set = effect.level,
          .evidence = evidence_of(effect)};
}

AdviceWords words(const roll::CheckAperture& facts) {
  return on_level("Look at ", facts.aperture,
                  fmt::format(": it gives {}. Do the blades close and open freely?",
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

AdviceWords words(const roll::ScanAgain& facts) {
  const auto of_frames = [&](const char* what) {
    return fmt::format("{} of {} frames {}", facts.faulty, facts.frames, what);
  };
  switch (facts.fault) {
    case roll::ScanFault::positive:
      return {.before =
                  "Scan the film again without inversion, so that the files look like the "
                  "negatives: from a positive nothing can be measured.",
              .evidence = of_frames("are positives")};
    case roll::ScanFault::clipped_base:
      return {.before =
                  "Scan again with less exposure, so that clear film is below the scan's "
                  "white: as it is, densities are only bounds.",
              .evidence = of_frames("have their clear film clipped")};
    case roll::ScanFault::without_zero:
      break;
  }
  return {.before = "Scan with a strip of clear rebate in view and the scanner's exposure locked.",
          .evidence = of_frames("have no density zero")};
}

AdviceWords words(const roll::AnswerFirst& facts) {
  switch (facts.about) {
    case roll::QuestionAbout::response:
      return {.before =
                  "First say how the scans' codes stand for light, with --response: what "
                  "they say cannot be right for film."};
    case roll::QuestionAbout::film_kind:
      return {.before = "First say what film it is, with --film."};
    case roll::QuestionAbout::negative:
      return {.before = "First say whether the scans show negatives."};
    case roll::QuestionAbout::direction:
      return {.before =
                  "First say which way the scans lie on the film: of the camera nothing can "
                  "be said before."};
    case roll::QuestionAbout::rows:
      return {.before = "First say which row of the log a frame has."};
    case roll::QuestionAbout::log:
      break;
  }
  return {.before =
              "First say whether the log is this roll's: it seems another's, so nothing is "
              "said of the camera."};
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
              "The plan holds for this meter with this film, development and scanner{}. Other "
              "makers' meters may read up to a third of a stop otherwise, by their constant K.",
              facts.film_speed_measured ? "" : "; the film's true speed is in it")};
}

}  // namespace

AdviceWords advice_words(const roll::Advice& advice) {
  return std::visit([](const auto& facts) { return words(facts); }, advice);
}

std::vector<std::string> advice_sentences(const std::vector<roll::Advice>& advice) {
  std::vector<std::string> sentences;
  for (const roll::Advice& one : advice) sentences.push_back(advice_words(one).with_evidence());
  return sentences;
}

}  // namespace basefog::report

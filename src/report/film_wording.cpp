// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/film_wording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "basefog/film/sensitometry.hpp"

namespace basefog::report {
namespace {

std::string missing_steps(int steps, const char* where, const char* how) {
  return fmt::format("{} {} missing at the {}: {}.", steps, steps == 1 ? "step is" : "steps are",
                     where, how);
}

std::string_view reason_text(roll::Unfit why) {
  switch (why) {
    case roll::Unfit::positive:
      return "a positive";
    case roll::Unfit::unreadable:
      return "the file could not be read";
    case roll::Unfit::no_row:
      return "no row of the log belongs to it";
    case roll::Unfit::no_density_zero:
      return "its density zero is not known";
    case roll::Unfit::no_exposure:
      return "its row says neither shutter and aperture nor compensation";
    case roll::Unfit::colour_seen_as_gray:
      return "colour film scanned as gray";
    case roll::Unfit::beyond_scan:
      return "denser than the scan can tell";
    case roll::Unfit::uneven:
      return "unevenly lit";
  }
  return "";
}

}  // namespace

std::vector<std::string> film_test_texts(const film::FilmTest& test) {
  std::vector<std::string> texts;
  // ISO 6 fixes a development for black-and-white film alone.
  if (test.profile.kind != FilmKind::colour_negative) {
    const std::string text = film::describe_development(test.layers.front().average_gradient.value);
    texts.push_back("The film was " + text + ".");
  }
  if (test.steps_missing_at_toe > 0) {
    texts.push_back(missing_steps(test.steps_missing_at_toe, "toe",
                                  "the speed point rests on the form of usual curves; add frames "
                                  "with less exposure"));
  }
  if (test.steps_missing_at_shoulder > 0) {
    texts.push_back(
        missing_steps(test.steps_missing_at_shoulder, "shoulder",
                      "the highlight limit is a usual film's; add frames with more exposure"));
  }
  if (test.speed_and_meter) {
    texts.emplace_back(
        "The exposures were the camera's own, so the curve's shape is measured, but film speed and "
        "the meter's bias cannot be told apart; the profile keeps the film's stated speed.");
  }
  return texts;
}

std::vector<std::string> exposure_pair_texts(const film::DevelopmentSeries& series) {
  std::vector<std::string> texts;
  for (const film::ExposurePair& pair : series.pairs) {
    texts.push_back(fmt::format(
        "'{}' reads as {:.2f} stops ({:.2f} to {:.2f}) more exposure than '{}'; {:g} exposures are "
        "{:.2f} stops.",
        series.results[pair.several].name, pair.shift.value.value(), pair.shift.low->value(),
        pair.shift.high->value(), series.results[pair.once].name, pair.times,
        std::log2(pair.times)));
  }
  const auto apart = std::ranges::count_if(
      series.pairs, [](const film::ExposurePair& pair) { return !pair.agrees(); });
  if (apart > 0) {
    texts.push_back(fmt::format(
        "{} of {} such pairs disagree: film does not add up several exposures as one, and no curve "
        "can show that. In a film test vary one exposure's time or aperture.",
        apart, series.pairs.size()));
  }
  return texts;
}

std::vector<std::string> film_test_frames_texts(const roll::FilmTestFrames& frames) {
  std::vector<std::string> texts;
  for (const roll::UnfitFrame& one : frames.left_out) {
    texts.push_back(fmt::format("Frame {} was left out: {}.", one.frame, reason_text(one.why)));
  }
  if (!frames.series.metered_for) {
    texts.emplace_back(
        "The log does not say which exposure was the metered one, so the curve's shape is "
        "measured, but neither film speed nor meter.");
  }
  return texts;
}

}  // namespace basefog::report

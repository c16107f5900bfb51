// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/film_wording.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

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
      return "denser than the scan can show";
    case roll::Unfit::uneven:
      return "unevenly lit";
  }
  return "";
}

std::string names(const evidence::SeriesContrast& contrast, const std::vector<std::size_t>& which) {
  std::vector<std::string> all;
  for (const std::size_t i : which) all.push_back(contrast.names[i]);
  return fmt::format("{}", fmt::join(all, ", "));
}

/// "pushing by 1 stop", "pulling by 1.5 stops".
std::string push_text(Stops push) {
  const double size = std::abs(push.value());
  return fmt::format("{} by {:.3g} {}", push.value() > 0 ? "pushing" : "pulling", size,
                     size > 1 ? "stops" : "stop");
}

/// How the film was developed, from a gradient that was measured; what pushing makes is no fault.
std::string measured_development(const film::FilmProfile& film, std::optional<Stops> push) {
  const double gradient = film.layers.front().curve.average_gradient();
  const double half = kNormal975 * film.contrast_relative_sigma * gradient;
  const std::string range = fmt::format(" ({:.2f} to {:.2f})", gradient - half, gradient + half);
  const std::string source = fmt::format(" by the {}.", name_of(film.contrast_source));
  const film::Development development = film::development_of(gradient);
  const bool certain = development == film::development_of(gradient - half) &&
                       development == film::development_of(gradient + half);
  if (!certain) {
    return fmt::format("Average gradient {:.2f}{}{} ISO 6 development makes 0.58 to 0.65.",
                       gradient, range, source);
  }
  std::string text = development_text(gradient, push);
  text = (text.starts_with("developed") ? "The film was " + text : "The film has " + text) + range;
  if (push && push->value() != 0 && development == film::Development::normal) {
    text += ", although the log asks for " + push_text(*push);
  }
  return text + "," + source;
}

}  // namespace

std::string development_text(double average_gradient, std::optional<Stops> push) {
  const film::Development development = film::development_of(average_gradient);
  if (development == film::Development::normal) {
    return fmt::format("developed normally: average gradient {:.2f}", average_gradient);
  }
  const bool harder = development == film::Development::harder;
  if (push && (harder ? push->value() > 0 : push->value() < 0)) {
    return fmt::format("average gradient {:.2f}, as {} makes it", average_gradient,
                       push_text(*push));
  }
  return fmt::format("developed {} than normal: average gradient {:.2f}",
                     harder ? "harder" : "softer", average_gradient);
}

std::vector<std::string> series_texts(const evidence::SeriesContrast& contrast) {
  std::vector<std::string> texts;
  if (!contrast.not_seen.empty()) {
    texts.push_back(fmt::format(
        "The log speaks of a series at frames {}, but no two of them show the same view at "
        "exposures that differ by the log.",
        names(contrast, contrast.not_seen)));
  }
  for (const evidence::ExposureSeries& series : contrast.series) {
    if (!series.used) {
      texts.push_back(fmt::format(
          "Frames {} show one view, but their densities do not differ as their logged exposures "
          "do: the light changed or a row is wrong, so they say nothing of the film.",
          names(contrast, series.frames)));
      continue;
    }
    std::string text = fmt::format(
        "Frames {} show one view at exposures {:.1f} stops apart and show the film's contrast.",
        names(contrast, series.frames), series.logged.back().value());
    if (!series.left_out.empty()) {
      text += fmt::format(
          " Frame {} of that view was left out: its density is not what its logged exposure makes.",
          names(contrast, series.left_out));
    }
    texts.push_back(std::move(text));
  }
  return texts;
}

std::vector<std::string> memory_texts(const memory::FilmMemory& memory) {
  if (!memory.says_anything()) return {};
  const auto count = [](std::size_t rolls) {
    return fmt::format("{} {}", rolls, rolls == 1 ? "roll" : "rolls");
  };
  std::string from;
  if (!memory.rolls.empty()) from = "this film and development from " + count(memory.rolls.size());
  if (!memory.others.empty()) {
    from += (from.empty() ? "this film from " : " and ") + count(memory.others.size()) +
            " developed otherwise";
  }
  std::string text = fmt::format("Remembered: {}; contrast known to {:.0f} % before this roll.",
                                 from, 100 * memory.roll.sigma(film::FilmParameter::contrast));
  if (!memory.as_named.empty()) text += " There it is called \"" + memory.as_named + "\".";
  return {text};
}

std::vector<std::string> film_texts(const roll::Analysis& analysis) {
  std::vector<std::string> texts;
  if (analysis.memory) texts = memory_texts(*analysis.memory);
  if (analysis.series) {
    for (std::string& text : series_texts(*analysis.series)) texts.push_back(std::move(text));
  }
  const film::FilmProfile& film = analysis.film;
  const std::optional<Stops> push = analysis.log ? log::asked_push(*analysis.log) : std::nullopt;
  const bool measured = film.contrast_was_found();
  // ISO 6 fixes a development for black-and-white film alone.
  if (measured && film.kind != FilmKind::colour_negative) {
    texts.push_back(measured_development(film, push));
  } else if (push && push->value() != 0 && !measured) {
    texts.push_back(
        fmt::format("The log asks for {}, so the average gradient is taken to be {:.2f}, uncertain "
                    "by {:.0f} %.",
                    push_text(*push), film.layers[film.layers.size() / 2].curve.average_gradient(),
                    100 * film.contrast_relative_sigma));
  }
  return texts;
}

std::vector<std::string> film_test_texts(const film::FilmTest& test) {
  std::vector<std::string> texts;
  // ISO 6 fixes a development for black-and-white film alone.
  if (test.profile.kind != FilmKind::colour_negative) {
    const std::string text = development_text(test.layers.front().average_gradient.value);
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

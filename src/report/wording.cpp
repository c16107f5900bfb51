// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/wording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <map>

#include "basefog/roll/roll_trend.hpp"
#include "report/correction_wording.hpp"

namespace basefog::report {
namespace {

/// Half a stop: a smaller difference between picture and exposure needs no explanation.
constexpr double kSameStops = 0.5;

/// A cause of uncertainty, and what would lessen it.
struct DoubtWords {
  const char* what;
  const char* remedy;
};

DoubtWords doubt_words(reading::ErrorCause cause) {
  switch (cause) {
    case reading::ErrorCause::base:
      return {"a surer density zero", "more clear film in view"};
    case reading::ErrorCause::response:
      return {"knowing the scanner's response", "scan a step tablet"};
    case reading::ErrorCause::contrast:
      return {"knowing the film's contrast", "a film test, or a bracket on the roll"};
    case reading::ErrorCause::toe_and_shoulder:
      return {"knowing the ends of the film's curve", "a film test"};
    case reading::ErrorCause::metering_pattern:
      return {"knowing what the meter looked at", "write its pattern into the log"};
    case reading::ErrorCause::clipping:
      return {"seeing the tones beyond the scan", "a scan with a deeper density range"};
    case reading::ErrorCause::film_speed:
      break;
  }
  return {"knowing the film's true speed", "a film test with exposures that are known"};
}

/// The causes of most of an answer's uncertainty, with what would lessen each; empty where all are
/// small.
std::string remedies(const reading::ErrorBudget& budget) {
  struct Part {
    double stops;  ///< at the 95 % end
    reading::ErrorCause cause;
  };
  std::vector<Part> parts;
  double largest = 0;
  for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
    const double half = kNormal975 * std::abs(budget[cause]);
    if (!std::isfinite(half)) continue;
    parts.push_back({half, cause});
    largest = std::max(largest, half);
  }
  // What is small beside the largest would change nothing if it were known (judgement).
  constexpr double kWorthTelling = 0.05;
  constexpr double kOfLargest = 0.4;
  std::erase_if(parts, [&](const Part& part) {
    return part.stops < std::max(kWorthTelling, kOfLargest * largest);
  });
  std::ranges::stable_sort(parts, std::ranges::greater{}, &Part::stops);
  std::vector<std::string> texts;
  for (const Part& part : parts) {
    const DoubtWords words = doubt_words(part.cause);
    texts.push_back(
        fmt::format("{} (\u00B1{:.1f}; {})", words.what, std::max(part.stops, 0.1), words.remedy));
  }
  return fmt::format("{}", fmt::join(texts, ", "));
}

/// A scan's name without its ending, behind that of its folder: "first/07".
std::string stem_in_folder(const std::filesystem::path& file) {
  return (file.parent_path().filename() / file.stem()).generic_string();
}

}  // namespace

std::string sentence_case(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::string spaced(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string estimate_text(const StopsEstimate& estimate) {
  if (!is_known(estimate)) return "not known";
  if (!estimate.two_sided()) return interval_text(estimate);
  return signed_stops(estimate.value) + " (" + interval_text(estimate) + ")";
}

bool is_known(const StopsEstimate& estimate) {
  return std::isfinite(estimate.value.value()) && (estimate.low || estimate.high);
}

Outcome outcome_of(const roll::FrameResult& frame) {
  if (frame.state == density::FrameState::blank) return Outcome::blank;
  if (!frame.reading || !is_known(frame.reading->correction.estimate)) {
    return Outcome::not_measured;
  }
  if (sureness_of(*frame.reading) == Sureness::unsure) return Outcome::unsure;
  if (frame.reading->verdict == reading::Verdict::well_exposed) return Outcome::well_exposed;
  return frame.reading->verdict < reading::Verdict::well_exposed ? Outcome::under : Outcome::over;
}

std::vector<std::string> frame_names(const roll::Analysis& analysis) {
  // Each way to name a frame, the shortest first; a frame takes the first that is its alone.
  constexpr std::size_t kWays = 5;
  std::map<std::filesystem::path, int> frames_on;
  for (const roll::FrameResult& frame : analysis.frames) ++frames_on[frame.measurement.file];
  const auto named = [&frames_on](const roll::FrameResult& frame, std::size_t way) {
    const density::FrameMeasurement& m = frame.measurement;
    const std::string place = frames_on[m.file] > 1 ? fmt::format(" ({})", m.index + 1) : "";
    switch (way) {
      case 0:
        return m.label;
      case 1:
        return m.file.stem().string() + place;
      case 2:
        return stem_in_folder(m.file) + place;
      case 3:
        return m.file.filename().string() + place;
      default:
        return m.file.string() + place;
    }
  };
  std::array<std::map<std::string, int>, kWays> uses;
  for (const roll::FrameResult& frame : analysis.frames) {
    for (std::size_t way = 0; way < kWays; ++way) ++uses[way][named(frame, way)];
  }
  std::vector<std::string> names;
  for (const roll::FrameResult& frame : analysis.frames) {
    std::size_t way = 0;
    while (way + 1 < kWays && (named(frame, way).empty() || uses[way][named(frame, way)] > 1)) {
      ++way;
    }
    names.push_back(named(frame, way));
  }
  return names;
}

std::string camera_name(const roll::Analysis& analysis) {
  if (analysis.camera && !analysis.camera->name.empty()) return analysis.camera->name;
  return analysis.log ? analysis.log->camera : "";
}

std::string file_and_index(const roll::Analysis& analysis, std::size_t place) {
  const density::FrameMeasurement& wanted = analysis.frames[place].measurement;
  const auto same_file = [&wanted](const roll::FrameResult& frame) {
    return frame.measurement.file == wanted.file;
  };
  const auto frames = std::count_if(analysis.frames.begin(), analysis.frames.end(), same_file);
  return wanted.file.string() + (frames > 1 ? fmt::format(" ({})", wanted.index + 1) : "");
}

std::string possible_rows_text(const roll::Analysis& analysis, std::size_t place) {
  if (!analysis.log || !analysis.matching || place >= analysis.matching->frames.size()) return "";
  const matching::FrameMatch& match = analysis.matching->frames[place];
  if (!match.doubtful) return "";
  const auto name = [&](const matching::PossibleRow& possible) {
    const std::string row = possible.row ? "row " + matching::row_name(*analysis.log, *possible.row)
                                         : std::string("no row");
    return fmt::format("{} ({:.0f} %)", row, 100 * possible.probability);
  };
  constexpr double kWorthNaming = 0.1;
  std::vector<std::string> rows{name({match.row, match.probability})};
  for (const matching::PossibleRow& possible : match.possible) {
    if (possible.row == match.row || possible.probability < kWorthNaming) continue;
    rows.push_back(name(possible));
  }
  std::string text = rows.front();
  for (std::size_t i = 1; i < rows.size(); ++i) {
    text += (i + 1 == rows.size() ? " or " : ", ") + rows[i];
  }
  return text;
}

const log::LogRow* row_of(const roll::Analysis& analysis, const roll::FrameResult& frame) {
  if (!analysis.log || !frame.log_row || *frame.log_row >= analysis.log->rows.size()) {
    return nullptr;
  }
  return &analysis.log->rows[*frame.log_row];
}

PictureWords picture_words(const roll::FrameResult& frame) {
  switch (frame.state) {
    case density::FrameState::blank:
      return {frame.flags.contains(Flag::fogged) ? "fogged, no picture" : "blank, no picture"};
    case density::FrameState::no_reference:
      return {"no clear film to read from"};
    case density::FrameState::positive:
      return {"a positive, not a negative"};
    case density::FrameState::unreadable:
      return {"file not readable"};
    case density::FrameState::measured:
      break;
  }
  if (!frame.reading || !is_known(frame.reading->correction.estimate)) {
    return {"beyond what the scan shows"};
  }
  return {needed_text(*frame.reading), needed_range(*frame.reading),
          std::string(word_of(sureness_of(*frame.reading)))};
}

std::string picture_text(const roll::FrameResult& frame) {
  const PictureWords words = picture_words(frame);
  std::string text = words.needed;
  if (!words.range.empty()) text += " (" + words.range + ")";
  if (!words.sureness.empty()) text += ", " + words.sureness;
  return text;
}

std::string disagreement_text(const reading::FrameReading& reading) {
  if (!is_known(reading.exposure.estimate) || !is_known(reading.correction.estimate)) return "";
  const double exposure = reading.exposure.estimate.value.value();
  const double correction = reading.correction.estimate.value.value();
  if (std::abs(correction) < kSameStops) {
    if (std::abs(exposure) < kSameStops) return "";
    return exposure > 0 ? "It got more than the aim, and the film still holds it."
                        : "It got less than the aim, and the film still holds it.";
  }
  // Against the aim, the exposure that the picture wanted. A picture that needed just what the
  // camera gave too little needs no explanation.
  const double wanted = correction + exposure;
  if (std::abs(wanted) < kSameStops || (wanted > 0) != (correction > 0)) return "";
  if (reading.flags.contains(Flag::range_longer_than_film)) {
    return "The scene's range was longer than the film's, so something had to be lost.";
  }
  return correction > 0 ? "Bright parts of the scene ruled the mean; its shadows needed more than "
                          "the aim gives."
                        : "Dark parts of the scene ruled the mean; its highlights needed less than "
                          "the aim gives.";
}

namespace {

/// Of one answer of all frames, as root mean squares.
template <class BudgetOf>
reading::ErrorBudget budget_of_roll(const roll::Analysis& analysis, const BudgetOf& budget_of) {
  reading::ErrorBudget squares{};
  double frames = 0;
  for (const roll::FrameResult& frame : analysis.frames) {
    if (!frame.reading) continue;
    ++frames;
    for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
      squares[cause] += std::pow(budget_of(*frame.reading)[cause], 2);
    }
  }
  for (double& one : squares) one = frames > 0 ? std::sqrt(one / frames) : 0;
  return squares;
}

}  // namespace

std::string doubt_text(const roll::Analysis& analysis) {
  using reading::FrameReading;
  struct Named {
    const char* name;
    reading::ErrorBudget budget;
  };
  const auto of_roll = [&](const auto& budget_of) { return budget_of_roll(analysis, budget_of); };
  const Named all[] = {
      {"exposure", of_roll([](const FrameReading& r) { return r.exposure.budget; })},
      {"correction", of_roll([](const FrameReading& r) { return r.correction.budget; })},
      {"shadow reserve", of_roll([](const FrameReading& r) { return r.shadow_reserve.budget; })},
      {"highlight room", of_roll([](const FrameReading& r) { return r.highlight_room.budget; })}};
  std::string text;
  for (const Named& one : all) {
    const std::string of_this = remedies(one.budget);
    if (of_this.empty()) continue;
    text += text.empty() ? fmt::format("What would make the {} surer: {}.", one.name, of_this)
                         : fmt::format(" The {}: {}.", one.name, of_this);
  }
  return text;
}

std::string light_colour_text(const reading::FrameReading& reading) {
  if (!reading.light_colour) return "";
  const reading::LightColour& colour = *reading.light_colour;
  if (!is_known(colour.red) || !is_known(colour.blue)) return "";
  const auto against_green = [](const StopsEstimate& estimate) {
    const bool two_sided = estimate.two_sided();
    const Stops said = two_sided ? estimate.value : estimate.low ? *estimate.low : *estimate.high;
    const bool less = said < Stops(0);
    // "At least -1" is "at most 1 less".
    const bool at_least = estimate.low.has_value() != less;
    return fmt::format("{}{:.1f} stops {}", two_sided ? "" : (at_least ? "at least " : "at most "),
                       std::abs(said.value()), less ? "less" : "more");
  };
  // 3200 K against 5500 K is 1.9 stops from red to blue, 8000 K 0.8 the other way [Planck]. The
  // limits lie about two thirds of the way (judgement).
  const double warmth = (colour.red.value - colour.blue.value).value();
  constexpr double kWarm = 1.2;
  constexpr double kCool = -0.6;
  return fmt::format(
      "Light on the film: the blue layer got {} than the green, the red {}{}. "
      "Lamp and subject together.",
      against_green(colour.blue), against_green(colour.red),
      warmth > kWarm   ? ", as by lamplight"
      : warmth < kCool ? ", as in blue shade"
                       : "");
}

std::string channels_text(const film::FilmProfile& film) {
  if (film.layers.size() != 3) return "";
  return "Each scanner channel is read as one layer of the film. What a channel also sees of the "
         "other layers' dyes is not taken out, so differences of colour come out somewhat small.";
}

std::string roll_text(const roll::Analysis& analysis) {
  struct Counted {
    Outcome outcome;
    const char* words;
  };
  std::string text = frames_text(static_cast<int>(analysis.frames.size()));
  const char* before = ": ";
  for (const Counted& one : {Counted{Outcome::well_exposed, "well exposed"},
                             Counted{Outcome::under, "under"}, Counted{Outcome::over, "over"},
                             Counted{Outcome::unsure, "unsure"}, Counted{Outcome::blank, "blank"},
                             Counted{Outcome::not_measured, "could not be measured"}}) {
    const auto count = std::ranges::count(analysis.frames, one.outcome, outcome_of);
    if (count == 0) continue;
    text += fmt::format("{}{} {}", before, count, one.words);
    before = ", ";
  }
  return text + ".";
}

std::string trend_text(const roll::Analysis& analysis) {
  const std::optional<roll::RollTrend> trend = roll::roll_trend(analysis);
  if (!trend) return "";
  const std::string what = trend->of_deviation ? "the camera gives " : "the film got ";
  const std::string how = !trend->certain() ? "the same throughout, as far as can be told"
                          : trend->change.value > Stops(0) ? "more and more"
                                                           : "less and less";
  return fmt::format("Along the roll {}{}: {} from the first frame to the last, over {} frames.",
                     what, how, estimate_text(trend->change), trend->frames);
}

std::string method_text(const roll::Analysis& analysis) {
  const Aim& aim = analysis.aim;
  return fmt::format("{}, ISO {}; aim {:.3g} lux\u00B7s (K {:g}, q {:g}).",
                     sentence_case(analysis.film.name), as_marked(aim.film_speed),
                     aim.lux_seconds(), aim.k, aim.q);
}

std::string effect_name(const meter::BiasEffect& effect) {
  if (effect.factor == meter::BiasFactor::shutter || effect.factor == meter::BiasFactor::aperture ||
      effect.factor == meter::BiasFactor::lens) {
    return effect.level;
  }
  if (effect.factor == meter::BiasFactor::mode) return spaced(effect.level);
  return spaced(name_of(effect.factor)) + ", " + effect.level;
}

std::string effect_text(const meter::BiasEffect& effect) {
  if (effect.factor != meter::BiasFactor::light_level || !effect.stops.two_sided()) {
    return estimate_text(effect.stops);
  }
  // A slope: a tenth of a stop each EV is much.
  return fmt::format("{:+.2f} ({:+.2f} to {:+.2f})", effect.stops.value.value(),
                     effect.stops.low->value(), effect.stops.high->value());
}

std::string settings_text(const log::LogRow& row) {
  std::vector<std::string> parts;
  if (row.used.shutter) parts.push_back(as_marked(*row.used.shutter));
  if (row.used.aperture) parts.push_back(as_marked(*row.used.aperture));
  if (row.ei) parts.push_back("EI " + as_marked(*row.ei));
  if (row.compensation && row.compensation->value() != 0) {
    parts.push_back("dialled " + signed_stops(*row.compensation));
  }
  if (row.mode) parts.push_back(spaced(name_of(*row.mode)));
  return fmt::format("{}", fmt::join(parts, ", "));
}

std::string list_text(const std::vector<std::string>& names, std::size_t most) {
  const std::size_t shown = std::min(names.size(), most);
  std::string text;
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  if (shown < names.size()) text += fmt::format(" and {} more", names.size() - shown);
  return text;
}

}  // namespace basefog::report

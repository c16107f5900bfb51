// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/report/advice_wording.hpp"
#include "basefog/report/bias_table.hpp"
#include "basefog/report/film_wording.hpp"
#include "basefog/report/matching_wording.hpp"
#include "basefog/report/question_wording.hpp"
#include "basefog/report/replacement_wording.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_wording.hpp"
#include "basefog/roll/roll_trend.hpp"
#include "report/json_values.hpp"
#include "report/warning_wording.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

std::optional<double> value_of(std::optional<Stops> stops) {
  return stops ? std::optional(stops->value()) : std::nullopt;
}

Json stops_and_interval(const StopsEstimate& estimate) {
  return {{"stops", rounded(estimate.value.value())},
          {"ci95", interval(value_of(estimate.low), value_of(estimate.high))}};
}

/// Adds an estimate that may be shown as measured, and nothing otherwise.
void add(Json& object, const char* name, const StopsEstimate& estimate) {
  if (is_known(estimate)) object[name] = stops_and_interval(estimate);
}

/// The same of one of a frame's answers, with its uncertainty split by causes.
void add(Json& object, const char* name, const reading::Answer<Stops>& answer) {
  if (!is_known(answer.estimate)) return;
  Json json = stops_and_interval(answer.estimate);
  for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
    const double sigma = answer.budget[cause];
    if (!std::isfinite(sigma) || rounded(sigma) == 0) continue;
    json["sigma_by_cause"][std::string(name_of(cause))] = rounded(sigma);
  }
  object[name] = std::move(json);
}

/// A point in stops from its zero.
template <class Zero>
void add(Json& object, const char* name, const Estimate<ExposurePoint<Zero>>& estimate) {
  add(object, name, in_stops(estimate));
}
template <class Zero>
void add(Json& object, const char* name, const reading::Answer<ExposurePoint<Zero>>& answer) {
  add(object, name, in_stops(answer));
}

Json aim_json(const Aim& aim) {
  return {{"lux_seconds", significant(aim.lux_seconds())},
          {"k", significant(aim.k)},
          {"q", significant(aim.q)},
          {"film_speed", significant(aim.film_speed.iso())}};
}

/// The contrast is the average gradient of the layer that decides tone: green of three.
Json film_json(const film::FilmProfile& film) {
  Json json{{"name", film.name}, {"kind", name_of(film.kind)}};
  if (!film.layers.empty()) {
    const double value = film.layers[film.layers.size() / 2].curve.average_gradient();
    const double half = kNormal975 * film.contrast_relative_sigma * value;
    json["contrast"] = {{"value", rounded(value)},
                        {"ci95", interval(value - half, value + half)},
                        {"source", name_of(film.contrast_source)}};
  }
  json["speed_measured"] = film.speed_measured;
  if (film.layers.size() == 3) json["channels_unmixed"] = false;
  return json;
}

Json memory_json(const memory::FilmMemory& memory) {
  return {{"rolls", memory.rolls},
          {"other_developments", memory.others},
          {"left_out", memory.odd},
          {"contrast_sigma", rounded(memory.roll.sigma(film::FilmParameter::contrast))}};
}

Json layers_json(const reading::FrameReading& reading) {
  Json layers = Json::array();
  for (const reading::LayerReading& layer : reading.layers) {
    Json json{{"name", layer.name}};
    add(json, "exposure", layer.exposure);
    add(json, "shadow_reserve", layer.shadow_reserve);
    add(json, "highlight_room", layer.highlight_room);
    layers.push_back(std::move(json));
  }
  return layers;
}

Json logged_json(const log::LogRow& row) {
  Json json = Json::object();
  if (row.used.shutter) json["shutter_seconds"] = significant(row.used.shutter->seconds());
  if (row.used.aperture) json["f_number"] = significant(row.used.aperture->value());
  if (row.ei) json["ei"] = significant(row.ei->iso());
  if (row.compensation) json["compensation"] = rounded(row.compensation->value());
  if (row.mode) json["mode"] = name_of(*row.mode);
  add_text(json, "scene", row.scene);
  add_text(json, "note", row.note);
  return json;
}

/// The upright rectangle of the region's size about its centre, in scan pixels.
Json region_json(const area::FrameRegion& r) {
  return {rounded(r.centre_x - r.width / 2, 1), rounded(r.centre_y - r.height / 2, 1),
          rounded(r.width, 1), rounded(r.height, 1)};
}

Json replacement_json(const log::Replacement& replacement) {
  const log::EquivalentSettings& settings = replacement.settings;
  Json json{{"shutter_seconds", significant(settings.shutter.seconds())},
            {"f_number", significant(settings.aperture.value())},
            {"changed", name_of(replacement.changed)},
            {"change", rounded(settings.change.value())},
            {"off", rounded(settings.off.value())}};
  if (replacement.compensation)
    json["compensation"] = rounded(replacement.compensation->stops.value());
  json["blur"] = rounded(settings.blur);
  json["depth_of_field"] = rounded(settings.depth_of_field);
  json["tripod"] = settings.below_hand_hold;
  json["text"] = replacement_text(replacement);
  return json;
}

void add_replacements(Json& json, const log::Replacements& replacements) {
  if (replacements.options.empty() && !replacements.none) return;
  json["replacements"] = Json::array();
  for (const log::Replacement& replacement : replacements.options) {
    json["replacements"].push_back(replacement_json(replacement));
  }
  if (replacements.none) json["no_replacement"] = no_replacement_text(*replacements.none);
}

Json development_json(const roll::RollDevelopment& roll) {
  Json json{{"frames", roll.frames}, {"text", development_text(roll)}};
  json["exposure"] = stops_and_interval(roll.exposure);
  json["contrast_factor"] = {{"value", rounded(roll.development.value)},
                             {"ci95", interval(roll.development.low, roll.development.high)}};
  json["chance"] = {{"under_exposed", rounded(roll.under_exposed)},
                    {"over_exposed", rounded(roll.over_exposed)},
                    {"under_developed", rounded(roll.under_developed)},
                    {"over_developed", rounded(roll.over_developed)}};
  return json;
}

Json trend_json(const roll::RollTrend& trend) {
  Json json = stops_and_interval(trend.change);
  json["frames"] = trend.frames;
  json["of"] = trend.of_deviation ? "deviation" : "exposure";
  return json;
}

Json frame_json(const roll::Analysis& analysis, const roll::FrameResult& frame) {
  const density::FrameMeasurement& measurement = frame.measurement;
  Json json{{"file", measurement.file.string()}, {"index", measurement.index}};
  if (measurement.region.width > 0) json["region"] = region_json(measurement.region);
  json["state"] = name_of(frame.state);
  if (frame.reference.kind != density::ReferenceKind::none) {
    json["reference"] = reference_json(frame.reference);
  }
  if (frame.reading) {
    const reading::FrameReading& reading = *frame.reading;
    add(json, "exposure", reading.exposure);
    add(json, "shadow_reserve", reading.shadow_reserve);
    add(json, "highlight_reach", reading.highlight_reach);
    add(json, "highlight_room", reading.highlight_room);
    add(json, "correction", reading.correction);
    if (json.contains("correction")) {
      json["verdict"] = name_of(reading.verdict);
      json["verdict_chance"] = rounded(reading.verdict_chance);
      json["verdict_uncertain"] = reading.verdict_uncertain;
    }
    json["lost"] = {{"shadows", rounded(reading.lost_in_shadows)},
                    {"highlights", rounded(reading.lost_in_highlights)}};
    if (!reading.layers.empty()) json["layers"] = layers_json(reading);
    if (reading.light_colour) {
      Json colour = Json::object();
      add(colour, "red_less_green", reading.light_colour->red);
      add(colour, "blue_less_green", reading.light_colour->blue);
      json["light_colour"] = colour;
    }
  }
  json["flags"] = flag_names(frame.flags);
  if (const log::LogRow* row = row_of(analysis, frame)) {
    json["log_row"] = row->frame;
    json["logged"] = logged_json(*row);
  }
  if (frame.expected) {
    json["expected"] = {{"stops", rounded(frame.expected->value())}};
    if (frame.expected_sigma > Stops(0)) {
      json["expected"] =
          stops_and_interval(normal_estimate(in_stops(*frame.expected), frame.expected_sigma));
    }
  }
  if (frame.deviation) add(json, "deviation", *frame.deviation);
  if (frame.scene_ev && is_known(*frame.scene_ev)) {
    json["scene_ev"] = {
        {"ev_100", rounded(frame.scene_ev->value.value())},
        {"ci95", interval(value_of(frame.scene_ev->low), value_of(frame.scene_ev->high))}};
  }
  if (frame.technique) json["technique"] = {{"stops", rounded(frame.technique->value())}};
  add_replacements(json, frame.replacements);
  return json;
}

Json matching_json(const roll::Analysis& analysis) {
  Json json = Json::object();
  Json rows = Json::array();
  Json frames = Json::array();
  Json notes = Json::array();
  if (analysis.matching) {
    const matching::Matching& matching = *analysis.matching;
    json["direction"] = name_of(matching.direction);
    json["confidence"] = rounded(matching.confidence);
    if (matching.log_test) {
      json["log_belongs"] = {{"verdict", name_of(matching.log_test->belongs)},
                             {"text", log_test_text(*matching.log_test)}};
    }
    for (std::size_t row : matching.unmatched_rows) {
      if (analysis.log && row < analysis.log->rows.size()) {
        rows.push_back(matching::row_name(*analysis.log, row));
      }
    }
    for (std::size_t frame : matching.unmatched_frames) {
      if (frame < analysis.frames.size()) frames.push_back(file_and_index(analysis, frame));
    }
    for (const std::string& note : matching_texts(matching)) notes.push_back(note);
    for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
      if (!possible_rows_text(analysis, i).empty()) {
        json["doubtful"].push_back(
            {{"frame", file_and_index(analysis, i)}, {"rows", possible_rows_text(analysis, i)}});
      }
    }
  } else {
    notes.push_back("There is no log.");
  }
  json["unmatched_rows"] = rows;
  json["unmatched_frames"] = frames;
  json["notes"] = notes;
  return json;
}

Json drift_json(const meter::BiasDrift& drift) {
  Json json{{"days", rounded(drift.days, 0)}};
  add(json, "change", drift.change);
  if (drift.jump) {
    add(json, "jump", *drift.jump);
    json["jump_before_roll"] = drift.jump_before_roll;
  }
  return json;
}

Json meter_json(const meter::MeterBias& meter) {
  Json json = Json::object();
  if (meter.bias) add(json, "bias", *meter.bias);
  json["effects"] = Json::array();
  for (const meter::BiasEffect& effect : meter.effects) {
    if (!is_known(effect.stops)) continue;
    Json one{{"factor", name_of(effect.factor)}, {"level", effect.level}};
    one.update(stops_and_interval(effect.stops));
    one["frames"] = effect.frames;
    json["effects"].push_back(one);
  }
  if (meter.drift) json["drift"] = drift_json(*meter.drift);
  json["not_identifiable"] = not_identifiable_texts(meter);
  return json;
}

Json technique_json(const meter::SceneTechnique& technique) {
  Json json{{"scene", technique.scene}};
  if (technique.mode) json["mode"] = name_of(*technique.mode);
  json.update(stops_and_interval(technique.stops));
  json["asked"] = rounded(technique.asked.value());
  json["frames"] = technique.frames;
  json["text"] = technique_text(technique);
  return json;
}

Json advice_json(const roll::Advice& advice) {
  const AdviceWords words = advice_words(advice);
  Json json{{"kind", name_of(kind_of(advice))}, {"text", words.text()}};
  add_text(json, "set", words.set);
  json["evidence"] = words.evidence;
  return json;
}

Json plan_json(const plan::NextRoll& plan) {
  Json json{{"ei", plan.dial.index.iso()}, {"state", name_of(plan.state)}};
  if (plan.dial.compensation != Stops(0)) {
    json["mark"] = plan.dial.mark.iso();
    json["compensation"] = rounded(plan.dial.compensation.value());
  }
  json["add"] = Json::array();
  for (const plan::Allowance& one : plan.add) {
    json["add"].push_back({{name_of(one.what), one.level},
                           {"stops", rounded(one.stops.value())},
                           {"seen", stops_and_interval(one.seen)},
                           {"frames", one.frames}});
  }
  json["expected_error"] = {{"before", rounded(plan.expected_error.before)},
                            {"after", rounded(plan.expected_error.after)}};
  if (plan.state == plan::PlanState::change) json["chance_better"] = rounded(plan.chance_better);
  return json;
}

Json question_json(const roll::Analysis& analysis, const roll::Question& question) {
  const QuestionWords words = question_words(analysis, question);
  Json json{{"about", name_of(question.about)}, {"text", words.text}, {"choices", Json::array()}};
  for (std::size_t i = 0; i < words.choices.size(); ++i) {
    Json choice{{"answer", words.choices[i].answer}, {"option", words.choices[i].option}};
    if (const auto chance = question.choices[i].chance) choice["chance"] = rounded(*chance);
    add_text(choice, "meaning", words.choices[i].meaning);
    json["choices"].push_back(choice);
  }
  return json;
}

Json warning_json(const roll::Warning& warning) {
  Json json = Json::object();
  if (warning.file) json["file"] = warning.file->string();
  json["flag"] = text_of(warning.flag).name;
  json["text"] = warning_text(warning);
  json["next_step"] = next_step_text(warning);
  return json;
}

/// How the scans' codes stand for light, each way once, in film order.
Json response_texts(const roll::Analysis& analysis) {
  Json texts = Json::array();
  for (const roll::FrameResult& frame : analysis.frames) {
    const std::string text = response_text(frame.measurement.response.source);
    if (std::ranges::find(texts, Json(text)) == texts.end()) texts.push_back(text);
  }
  return texts;
}

/// A file, and what tells it from another of its name.
Json input_json(const roll::InputFile& input) {
  Json json{{"role", input.role}, {"file", input.path.string()}};
  if (!input.sum) return json;
  json["bytes"] = input.sum->bytes;
  json["crc32"] = crc32_text(*input.sum);
  json["crc32_of"] = input.sum->whole ? "whole" : "parts";
  return json;
}

/// What the numbers depend on besides film and aim.
Json provenance_json(const roll::Analysis& analysis) {
  constexpr std::array kPatterns = {"average", "centre_weighted", "spot"};
  Json json{{"responses", response_texts(analysis)}};
  if (analysis.metering != MeteringPattern::unknown) {
    json["metering"] = kPatterns.at(static_cast<std::size_t>(analysis.metering));
  }
  if (analysis.camera) add_text(json, "camera", analysis.camera->name);
  if (analysis.log) add_text(json, "log", analysis.log->path.string());
  json["options"] = Json::object();
  for (const auto& [name, value] : analysis.stated) json["options"][name] = value;
  json["inputs"] = Json::array();
  for (const roll::InputFile& input : analysis.inputs) {
    json["inputs"].push_back(input_json(input));
  }
  return json;
}

}  // namespace

void write_json(std::ostream& out, const roll::Analysis& analysis) {
  Json json = headed("basefog.review/1");
  json["provenance"] = provenance_json(analysis);
  json["aim"] = aim_json(analysis.aim);
  json["film"] = film_json(analysis.film);
  if (const auto texts = film_texts(analysis); !texts.empty()) json["film"]["notes"] = texts;
  if (analysis.memory) json["film"]["memory"] = memory_json(*analysis.memory);
  json["frames"] = Json::array();
  for (const roll::FrameResult& frame : analysis.frames) {
    json["frames"].push_back(frame_json(analysis, frame));
  }
  json["matching"] = matching_json(analysis);
  if (const auto trend = roll::roll_trend(analysis)) json["trend"] = trend_json(*trend);
  if (analysis.development) json["development"] = development_json(*analysis.development);
  if (analysis.meter) json["meter"] = meter_json(*analysis.meter);
  for (const meter::SceneTechnique& technique : analysis.techniques) {
    json["techniques"].push_back(technique_json(technique));
  }
  json["questions"] = Json::array();
  for (const roll::Question& question : analysis.questions) {
    json["questions"].push_back(question_json(analysis, question));
  }
  if (analysis.next_roll) json["next_roll"] = plan_json(*analysis.next_roll);
  json["advice"] = Json::array();
  for (const roll::Advice& advice : analysis.advice) json["advice"].push_back(advice_json(advice));
  json["warnings"] = Json::array();
  for (const roll::Warning& warning : analysis.warnings) {
    json["warnings"].push_back(warning_json(warning));
  }
  write(out, json);
}

void write_bias_json(std::ostream& out, std::span<const roll::CameraReview> cameras) {
  Json json = headed("basefog.bias/1");
  json["cameras"] = Json::array();
  for (const roll::CameraReview& camera : cameras) {
    const meter::BiasHistory& history = camera.history;
    Json one{{"camera", history.camera}, {"films", history.films}};
    add_text(one, "first_date", history.first_date);
    add_text(one, "last_date", history.last_date);
    one["rolls"] = history.meter.rolls;
    one["frames"] = history.meter.frames_used;
    one["meter"] = meter_json(history.meter);
    one["misfits"] = Json::array();
    for (const meter::BiasEffect& roll : history.misfits) one["misfits"].push_back(roll.level);
    one["techniques"] = Json::array();
    for (const meter::SceneTechnique& technique : history.techniques) {
      one["techniques"].push_back(technique_json(technique));
    }
    if (camera.next_roll) one["next_roll"] = plan_json(*camera.next_roll);
    one["advice"] = Json::array();
    for (const roll::Advice& advice : camera.advice) one["advice"].push_back(advice_json(advice));
    json["cameras"].push_back(one);
  }
  write(out, json);
}

}  // namespace basefog::report

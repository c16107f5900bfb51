// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/kept_rolls.hpp"

#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "basefog/density/scan_record.hpp"

namespace validation {
namespace fs = std::filesystem;
namespace {

using Json = nlohmann::ordered_json;

/// Each number of a truth once, for writing and for reading.
void each_number(auto& truth, const auto& visit) {
  visit("exposure", truth.exposure);
  visit("exposure_average", truth.exposure_average);
  visit("exposure_centre_weighted", truth.exposure_centre_weighted);
  visit("shadow_reserve", truth.shadow_reserve);
  visit("highlight_reach", truth.highlight_reach);
  visit("highlight_room", truth.highlight_room);
  visit("correction", truth.correction);
  visit("lost_in_shadows", truth.lost_in_shadows);
  visit("lost_in_highlights", truth.lost_in_highlights);
  visit("least_loss", truth.least_loss);
}

constexpr const char* kTruths = "truths.json";
std::string record_name(std::size_t frame) { return "frame" + std::to_string(frame) + ".json"; }

constexpr auto kStates = std::to_array(
    {basefog::density::FrameState::measured, basefog::density::FrameState::blank,
     basefog::density::FrameState::no_reference, basefog::density::FrameState::positive,
     basefog::density::FrameState::unreadable});

Json json_of(const Outcome& outcome, const Measured& measured) {
  Json json;
  json["scene"] = outcome.scene;
  json["lamps"] = outcome.lamps;
  json["contrast"] = outcome.contrast;
  json["logged"] = outcome.asked;
  json["state"] = name_of(outcome.state);
  json["verdict"] = outcome.truth.verdict;
  each_number(outcome.truth, [&](const char* name, double value) { json["truth"][name] = value; });
  if (measured.logged.compensation) json["asked"] = measured.logged.compensation->value();
  return json;
}

void read_outcome(const Json& json, Outcome& outcome, Measured& measured) {
  outcome.scene = json.at("scene");
  outcome.lamps = json.at("lamps");
  outcome.contrast = json.at("contrast");
  outcome.asked = json.at("logged");
  for (const basefog::density::FrameState state : kStates) {
    if (name_of(state) == json.at("state").get<std::string>()) outcome.state = state;
  }
  outcome.truth.verdict = json.at("verdict");
  each_number(outcome.truth,
              [&](const char* name, double& value) { value = json.at("truth").at(name); });
  if (json.contains("asked")) {
    measured.logged.compensation = basefog::Stops(json.at("asked").get<double>());
    measured.logged.hint = true;
  }
}

}  // namespace

void keep(const fs::path& folder, const TakenRoll& roll) {
  fs::create_directories(folder);
  Json truths = Json::array();
  for (std::size_t i = 0; i < roll.outcomes.size(); ++i) {
    truths.push_back(json_of(roll.outcomes[i], roll.measured[i]));
    if (!roll.measured[i].frame) continue;
    basefog::density::ScanRecord record{.file = record_name(i)};
    record.frames = {*roll.measured[i].frame};
    std::ofstream(folder / record_name(i)) << basefog::density::scan_record_text(record);
  }
  std::ofstream(folder / kTruths) << truths;
}

std::optional<TakenRoll> kept_roll(const fs::path& folder, int frames) {
  std::ifstream file(folder / kTruths);
  if (!file) return std::nullopt;
  const Json truths = Json::parse(file);
  if (truths.size() != static_cast<std::size_t>(frames)) return std::nullopt;
  TakenRoll roll;
  for (std::size_t i = 0; i < truths.size(); ++i) {
    Outcome& outcome = roll.outcomes.emplace_back();
    Measured& measured = roll.measured.emplace_back();
    read_outcome(truths[i], outcome, measured);
    if (!fs::exists(folder / record_name(i))) continue;
    measured.frame = basefog::density::read_scan_record(folder / record_name(i)).frames.at(0);
  }
  return roll;
}

}  // namespace validation

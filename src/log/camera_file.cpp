// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/log/camera.hpp"
#include "core/file_keys.hpp"
#include "core/plain_text.hpp"
#include "core/text_file.hpp"
#include "core/toml_text.hpp"
#include "log/camera_keys.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

constexpr const char* kNextStep = "basefog manual camera says what it may hold";

[[noreturn]] void refuse(const std::filesystem::path& path, std::string problem) {
  throw InputError(ErrorCode::malformed, path, std::move(problem), kNextStep);
}

/// One table of the file: a section, or the top.
class Section {
 public:
  /// `name` is for messages: "lens 2" of section "lens".
  Section(const std::filesystem::path& path, const toml::table& table, std::string_view section,
          std::string name)
      : path_(path), table_(table), name_(std::move(name)) {
    if (const auto key = unknown_key(table, section, kCameraKeys)) {
      fail(*key, table.get(*key), unknown_key_text("a camera file", section, kCameraKeys));
    }
  }

  [[noreturn]] void fail(std::string_view key, const toml::node* node,
                         const std::string& problem) const {
    std::string where = "\"" + (name_.empty() ? "" : name_ + ".") + std::string(key) + "\"";
    if (node != nullptr && node->source().begin.line > 0) {
      where += " (line " + std::to_string(node->source().begin.line) + ")";
    }
    refuse(path_, where + " " + problem);
  }

  const toml::node* get(std::string_view key) const { return table_.get(key); }

  std::optional<std::string> text(std::string_view key) const {
    const toml::node* node = get(key);
    if (node == nullptr) return std::nullopt;
    auto value = node->value<std::string>();
    if (!value) fail(key, node, "is not a text in quotes");
    return value;
  }

  std::optional<bool> yes(std::string_view key) const {
    const toml::node* node = get(key);
    if (node == nullptr) return std::nullopt;
    if (!node->is_boolean()) fail(key, node, "is neither true nor false");
    return node->value<bool>();
  }

  std::optional<double> number(std::string_view key, double least, double most) const {
    const toml::node* node = get(key);
    if (node == nullptr) return std::nullopt;
    return number_in(key, *node, least, most);
  }

  double number_in(std::string_view key, const toml::node& node, double least, double most) const {
    const auto value = node.is_number() ? node.value<double>() : std::nullopt;
    if (!value || !(*value >= least && *value <= most)) {
      fail(key, &node, fmt::format("is not a number between {} and {}", least, most));
    }
    return *value;
  }

 private:
  const std::filesystem::path& path_;
  const toml::table& table_;
  std::string name_;
};

std::optional<MarkSteps> steps_named(const toml::node& node) {
  const auto name = node.value<std::string>();
  if (name == "full") return MarkSteps::full;
  if (name == "half") return MarkSteps::half;
  if (name == "third") return MarkSteps::third;
  return std::nullopt;
}

ShutterTime time_in(const Section& section, std::string_view key, const toml::node& node) {
  const auto text = node.value<std::string>();
  const Written<ShutterTime> time =
      node.is_string() ? parse_shutter(*text) : Written<ShutterTime>{};
  if (!time.value || !time.doubts.empty()) {
    section.fail(key, &node, "is not a time such as \"1/60\" or \"2 s\", in quotes");
  }
  return *time.value;
}

/// shutter = "full", or ["1", "1/2", ..., "B"]; with shutter_longest and shutter_shortest.
void read_shutter(const Section& section, Camera& camera) {
  const toml::node* marks = section.get("shutter");
  const toml::node* longest = section.get("shutter_longest");
  const toml::node* shortest = section.get("shutter_shortest");
  const auto end = [&](std::string_view key, const toml::node* node, ShutterTime otherwise) {
    return node != nullptr ? time_in(section, key, *node) : otherwise;
  };
  const ShutterTime slow = end("shutter_longest", longest, camera.shutter.front());
  const ShutterTime fast = end("shutter_shortest", shortest, camera.shutter.back());
  if (slow <= fast)
    section.fail("shutter_longest", longest, "is not longer than the shortest time");
  const toml::array* list = marks != nullptr ? marks->as_array() : nullptr;
  if (list == nullptr) {
    const auto steps = marks != nullptr ? steps_named(*marks) : MarkSteps::full;
    if (!steps) {
      section.fail("shutter", marks,
                   "is neither a list of times nor \"full\", \"half\", \"third\"");
    }
    camera.shutter = standard_times(*steps, slow, fast);
    if (camera.shutter.empty()) section.fail("shutter", marks, "holds no marked time");
    return;
  }
  camera.shutter.clear();
  camera.bulb = false;
  for (const toml::node& mark : *list) {
    const std::string letter = plain_form(mark.value<std::string>().value_or(""));
    if (letter == "b" || letter == "t" || letter == "bulb") {
      camera.bulb = true;
    } else {
      camera.shutter.push_back(time_in(section, "shutter", mark));
    }
  }
  if (camera.shutter.empty()) section.fail("shutter", marks, "holds no marked time");
  std::ranges::sort(camera.shutter, std::greater{});
}

/// stops = "half" between two ends, or [1.4, 2, ...].
std::vector<FNumber> read_stops(const Section& section, FNumber widest, FNumber narrowest) {
  const toml::node* marks = section.get("stops");
  widest = FNumber(section.number("widest", 0.5, 180).value_or(widest.value()));
  narrowest = FNumber(section.number("narrowest", 0.5, 180).value_or(narrowest.value()));
  if (narrowest < widest) {
    section.fail("narrowest", section.get("narrowest"), "is wider than the widest stop");
  }
  std::vector<FNumber> stops;
  const toml::array* list = marks != nullptr ? marks->as_array() : nullptr;
  if (list != nullptr) {
    for (const toml::node& mark : *list) {
      stops.emplace_back(section.number_in("stops", mark, 0.5, 180));
    }
    if (stops.empty()) section.fail("stops", marks, "holds no f-number");
    std::ranges::sort(stops);
    return stops;
  }
  const auto steps = marks != nullptr ? steps_named(*marks) : MarkSteps::full;
  if (!steps) {
    section.fail("stops", marks,
                 "is neither a list of f-numbers nor \"full\", \"half\", \"third\"");
  }
  stops = standard_stops(*steps, widest, narrowest);
  // A lens's ends are marked even where they are no member of the series (f/1.8, f/3.5).
  const auto off = [](FNumber a, FNumber b) { return std::abs(std::log2(a.value() / b.value())); };
  if (stops.empty() || off(stops.front(), widest) > 0.01) stops.insert(stops.begin(), widest);
  if (off(stops.back(), narrowest) > 0.01) stops.push_back(narrowest);
  return stops;
}

CameraLens read_lens(const std::filesystem::path& path, const toml::table& table,
                     const Camera& camera, std::size_t index) {
  const Section section(path, table, "lens", "lens " + std::to_string(index + 1));
  CameraLens lens;
  const toml::node* focal = section.get("focal_length");
  if (focal == nullptr)
    section.fail("focal_length", nullptr, "is missing; in mm, as 50 or [28, 80]");
  constexpr double kShortest = 4;  // mm; outside these a slip (judgement)
  constexpr double kLongest = 3000;
  if (const toml::array* ends = focal->as_array()) {
    if (ends->size() != 2) section.fail("focal_length", focal, "is not a pair as [28, 80]");
    lens.shortest_mm = section.number_in("focal_length", *ends->get(0), kShortest, kLongest);
    lens.longest_mm = section.number_in("focal_length", *ends->get(1), kShortest, kLongest);
    if (lens.longest_mm < lens.shortest_mm) {
      section.fail("focal_length", focal, "has its longer end first");
    }
  } else {
    lens.shortest_mm = section.number_in("focal_length", *focal, kShortest, kLongest);
    lens.longest_mm = lens.shortest_mm;
  }
  lens.stops = read_stops(section, camera.stops.front(), camera.stops.back());
  const std::string range = lens.is_zoom() ? fmt::format("{}-{}", lens.shortest_mm, lens.longest_mm)
                                           : fmt::format("{}", lens.shortest_mm);
  lens.name = section.text("name").value_or(range + " mm");
  return lens;
}

MeterKind meter_named(const Section& section) {
  constexpr auto kKinds =
      std::to_array<MeterKind>({MeterKind::none, MeterKind::through_lens, MeterKind::beside_lens,
                                MeterKind::hand_held_reflected, MeterKind::hand_held_incident});
  const std::string name = section.text("kind").value_or("through_lens");
  for (const MeterKind kind : kKinds) {
    if (name == name_of(kind)) return kind;
  }
  section.fail("kind", section.get("kind"),
               "is none of none, through_lens, beside_lens, hand_held_reflected, "
               "hand_held_incident");
}

void read_meter(const std::filesystem::path& path, const toml::table& table, Camera& camera) {
  const Section section(path, table, "meter", "meter");
  camera.meter = meter_named(section);
  const std::string pattern = section.text("pattern").value_or("unknown");
  if (pattern == "average") {
    camera.pattern = MeteringPattern::average;
  } else if (pattern == "centre_weighted") {
    camera.pattern = MeteringPattern::centre_weighted;
  } else if (pattern == "spot") {
    camera.pattern = MeteringPattern::spot;
  } else if (pattern != "unknown") {
    section.fail("pattern", section.get("pattern"),
                 "is none of average, centre_weighted, spot, unknown");
  }
}

void read_battery(const std::filesystem::path& path, const toml::table& table, Camera& camera) {
  const Section section(path, table, "battery", "battery");
  constexpr auto kKinds = std::to_array<std::string_view>(
      {"mercury", "silver oxide", "alkaline", "lithium", "zinc air", "none", "other"});
  camera.battery = section.text("kind").value_or("");
  if (!camera.battery.empty() && std::ranges::find(kKinds, camera.battery) == kKinds.end()) {
    section.fail("kind", section.get("kind"),
                 "is none of mercury, silver oxide, alkaline, lithium, zinc air, none, other");
  }
  if (const toml::node* fitted = section.get("fitted")) {
    std::string date;
    if (const auto day = fitted->value<toml::date>()) {
      date = fmt::format("{:04}-{:02}-{:02}", day->year, day->month, day->day);
    } else {
      date = fitted->value<std::string>().value_or("");
    }
    const Written<std::string> written = parse_date(date);
    if (!written.value || !written.doubts.empty()) {
      section.fail("fitted", fitted, "is not a date such as 2026-05-12");
    }
    camera.battery_fitted = *written.value;
  }
}

void read_compensation(const Section& section, Camera& camera) {
  if (const auto most = section.number("compensation_most", 0, 10)) {
    camera.compensation_most = Stops(*most);
  }
  const toml::node* step = section.get("compensation_steps");
  if (step == nullptr) return;
  const auto steps = steps_named(*step);
  if (!steps) section.fail("compensation_steps", step, "is none of \"full\", \"half\", \"third\"");
  camera.compensation_step = Stops(*steps == MarkSteps::full   ? 1
                                   : *steps == MarkSteps::half ? 0.5
                                                               : 1.0 / 3);
}

void read_film_speeds(const Section& section, Camera& camera) {
  const toml::node* node = section.get("film_speeds");
  if (node == nullptr) return;
  const toml::array* list = node->as_array();
  if (list == nullptr || list->empty()) {
    section.fail("film_speeds", node, "is not a list of speeds such as [100, 200, 400]");
  }
  camera.film_speeds.clear();
  for (const toml::node& speed : *list) {
    camera.film_speeds.emplace_back(section.number_in("film_speeds", speed, 0.5, 204800));
  }
  std::ranges::sort(camera.film_speeds);
}

const toml::table* table_at(const Section& section, std::string_view key) {
  const toml::node* node = section.get(key);
  if (node == nullptr) return nullptr;
  if (!node->is_table()) section.fail(key, node, "is not a section");
  return node->as_table();
}

void read_lenses(const Section& section, const std::filesystem::path& path, Camera& camera) {
  const toml::node* node = section.get("lens");
  if (node == nullptr) return;
  const toml::array* lenses = node->as_array();
  if (lenses == nullptr || !lenses->is_array_of_tables()) {
    section.fail("lens", node, "is not a list of sections; each lens begins with [[lens]]");
  }
  for (const toml::node& lens : *lenses) {
    camera.lenses.push_back(read_lens(path, *lens.as_table(), camera, camera.lenses.size()));
  }
}

}  // namespace

Camera parse_camera(std::string_view text, const std::filesystem::path& path) {
  const toml::table table = parse_toml(text, path, kNextStep);
  const Section section(path, table, "", "");
  Camera camera = default_camera();
  camera.name = section.text("name").value_or(path.stem().string());
  read_shutter(section, camera);
  camera.bulb = section.yes("bulb").value_or(camera.bulb);
  camera.stops = read_stops(section, camera.stops.front(), camera.stops.back());
  read_film_speeds(section, camera);
  read_compensation(section, camera);
  if (const toml::node* limit = section.get("hand_hold_limit")) {
    camera.steady = time_in(section, "hand_hold_limit", *limit);
  }
  if (const toml::table* meter = table_at(section, "meter")) read_meter(path, *meter, camera);
  if (const toml::table* battery = table_at(section, "battery")) {
    read_battery(path, *battery, camera);
  }
  read_lenses(section, path, camera);
  return camera;
}

Camera read_camera(const std::filesystem::path& path) {
  return parse_camera(read_text_file(path, {"a camera file", limits::kMostSettingsBytes}), path);
}

}  // namespace basefog::log

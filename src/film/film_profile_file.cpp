// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <sstream>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/film/film_profile.hpp"
#include "core/file_keys.hpp"
#include "core/name_list.hpp"
#include "core/text_file.hpp"
#include "core/toml_text.hpp"
#include "film/film_profile_keys.hpp"

namespace basefog::film {
namespace {

constexpr std::string_view kNextStep = "basefog manual film says what it may hold";

/// Reads keys of one table, and says which file and key is wrong.
class Keys {
 public:
  Keys(const std::filesystem::path& path, const toml::table& table, std::string prefix)
      : path_(path), table_(table), prefix_(std::move(prefix)) {}

  /// Every key must be one of the section's, so that a misspelt one is not passed over.
  void only_known(std::string_view section) const {
    if (const auto key = unknown_key(table_, section, kFilmProfileKeys)) {
      refuse(*key, unknown_key_text("a film profile", section, kFilmProfileKeys));
    }
  }

  [[noreturn]] void refuse(std::string_view key, const std::string& problem) const {
    throw InputError(ErrorCode::malformed, path_, "'" + prefix_ + std::string(key) + "' " + problem,
                     std::string(kNextStep));
  }

  std::optional<double> number(std::string_view key, double least, double most) const {
    const toml::node_view node = table_[key];
    if (!node) return std::nullopt;
    const std::optional<double> value = node.value<double>();
    if (!value || !std::isfinite(*value)) refuse(key, "must be a number");
    if (*value < least || *value > most) {
      std::ostringstream range;
      range << "must be from " << least << " to " << most;
      refuse(key, range.str());
    }
    return value;
  }

  void set(double& to, std::string_view key, double least, double most) const {
    to = number(key, least, most).value_or(to);
  }

  std::optional<std::string> text(std::string_view key) const {
    const toml::node_view node = table_[key];
    if (!node) return std::nullopt;
    std::optional<std::string> value = node.value<std::string>();
    if (!value) refuse(key, "must be a text in quotes");
    return value;
  }

  std::optional<bool> yes_or_no(std::string_view key) const {
    const toml::node_view node = table_[key];
    if (!node) return std::nullopt;
    const std::optional<bool> value = node.value<bool>();
    if (!value) refuse(key, "must be true or false");
    return value;
  }

  /// [[a, b], ...]
  std::vector<std::pair<double, double>> pairs(std::string_view key) const {
    std::vector<std::pair<double, double>> result;
    const toml::node_view node = table_[key];
    if (!node) return result;
    const toml::array* rows = node.as_array();
    if (rows == nullptr) refuse(key, "must be a list of pairs");
    for (const toml::node& row : *rows) {
      const toml::array* pair = row.as_array();
      const auto item = [&](std::size_t i) { return (*pair)[i].value<double>(); };
      if (pair == nullptr || pair->size() != 2 || !item(0) || !item(1)) {
        refuse(key, "must be a list of pairs of numbers, as [[-1.0, 0.04], [0.0, 0.10]]");
      }
      result.emplace_back(*item(0), *item(1));
    }
    return result;
  }

  /// None of these may stand where it would be passed over.
  void none_of(std::initializer_list<std::string_view> unused, const std::string& problem) const {
    for (const std::string_view key : unused) {
      if (table_.contains(key)) refuse(key, problem);
    }
  }

 private:
  const std::filesystem::path& path_;
  const toml::table& table_;
  std::string prefix_;
};

CharacteristicCurve read_points(const Keys& keys, const FilmProfile& film) {
  std::vector<CurvePoint> points;
  for (const auto& [stops, density] : keys.pairs("points")) {
    points.push_back({Stops(stops), NetDensity(density)});
  }
  const auto in_log_h = keys.pairs("points_log_h");
  if (!in_log_h.empty()) {
    if (!points.empty()) keys.refuse("points_log_h", "cannot stand beside 'points'");
    double base = in_log_h.front().second;
    for (const auto& row : in_log_h) base = std::min(base, row.second);
    keys.set(base, "base_density", 0, 6);
    for (const auto& [log_h, density] : in_log_h) {
      points.push_back(
          {LogExposure::from_log10(log_h) - film.speed_point(), NetDensity(density - base)});
    }
  }
  return CharacteristicCurve::from_points(points);
}

CharacteristicCurve read_shape(const Keys& keys, const FilmProfile& film) {
  CurveShape shape;
  if (film.kind == FilmKind::colour_negative) {
    shape.speed_density = film_facts::kIso5800SpeedDensity.value();
  }
  const auto stops = [&](std::string_view key, Stops& to) {
    to = Stops(keys.number(key, -20, 30).value_or(to.value()));
  };
  keys.set(shape.speed_density, "speed_density", 0.01, 0.5);
  keys.set(shape.rise_over_1_30, "rise_over_1_30", 0.1, 4);
  keys.set(shape.toe_width, "toe_width", 0.02, 1);
  keys.set(shape.shoulder_width, "shoulder_width", 0.02, 2);
  stops("threshold", shape.threshold);
  stops("shoulder", shape.shoulder);
  return CharacteristicCurve::from_shape(shape);
}

FilmLayer read_layer(const std::filesystem::path& path, const toml::table& table,
                     const FilmProfile& film, std::size_t index) {
  const Keys keys(path, table, "layer[" + std::to_string(index) + "].");
  keys.only_known("layer");
  const bool measured = table.contains("points") || table.contains("points_log_h");
  if (measured) {
    keys.none_of(
        {"speed_density", "rise_over_1_30", "toe_width", "shoulder", "shoulder_width", "threshold"},
        "shapes a curve without points; leave it out, or the points");
  }
  if (!table.contains("points_log_h")) {
    keys.none_of({"base_density"}, "belongs to 'points_log_h'; densities are net otherwise");
  }
  try {
    return {keys.text("name").value_or("silver"),
            measured ? read_points(keys, film) : read_shape(keys, film)};
  } catch (const InputError& error) {
    if (!error.path().empty()) throw;
    throw InputError(error.code(), path,
                     "layer " + std::to_string(index + 1) + " " + error.problem(),
                     error.next_step());
  }
}

void read_layers(const std::filesystem::path& path, const toml::table& table, FilmProfile& film) {
  const Keys keys(path, table, "");
  const std::size_t wanted = film.kind == FilmKind::colour_negative ? 3 : 1;
  const toml::array* layers = table["layer"].as_array();
  if (layers == nullptr || layers->size() != wanted) {
    keys.refuse("layer", wanted == 3 ? "must stand three times, as red, green and blue"
                                     : "must stand once, as [[layer]]");
  }
  for (const toml::node& node : *layers) {
    const toml::table* layer = node.as_table();
    if (layer == nullptr) keys.refuse("layer", "must be a table, as [[layer]]");
    film.layers.push_back(read_layer(path, *layer, film, film.layers.size()));
  }
  constexpr std::array<std::string_view, 3> kNames = {"red", "green", "blue"};
  for (std::size_t i = 0; wanted == 3 && i < 3; ++i) {
    if (film.layers[i].name != kNames[i]) {
      keys.refuse("layer", "must be named red, green and blue in this order");
    }
  }
}

void read_reciprocity(const std::filesystem::path& path, const toml::table& table,
                      Reciprocity& reciprocity) {
  const toml::table* section = table["reciprocity"].as_table();
  if (section == nullptr) {
    if (table.contains("reciprocity")) {
      Keys(path, table, "").refuse("reciprocity", "must be a table, as [reciprocity]");
    }
    return;
  }
  const Keys keys(path, *section, "reciprocity.");
  keys.only_known("reciprocity");
  keys.set(reciprocity.exponent, "exponent", 1, 3);
  keys.set(reciprocity.relative_sigma, "uncertainty", 0, 2);
  for (const auto& [metered, corrected] : keys.pairs("table")) {
    const auto& rows = reciprocity.table;
    if (!(metered > 0) || !std::isfinite(corrected) || !(corrected >= metered * (1 - 1e-9)) ||
        (!rows.empty() &&
         (metered <= rows.back().metered_seconds || corrected <= rows.back().corrected_seconds))) {
      keys.refuse("table", "must rise in both times, no corrected time shorter than metered");
    }
    reciprocity.table.push_back({metered, corrected});
  }
}

/// "generic", ... as a message lists them.
std::string contrast_sources() {
  std::string list;
  for (const ContrastSource source : every<ContrastSource>()) {
    list += (list.empty() ? "\"" : ", \"") + std::string(name_of(source)) + "\"";
  }
  return list;
}

}  // namespace

FilmProfile read_film_profile(const std::filesystem::path& path) {
  const toml::table table =
      parse_toml(read_text_file(path, {"a film profile", limits::kMostSettingsBytes}), path,
                 std::string(kNextStep));
  const Keys keys(path, table, "");
  keys.only_known("");
  FilmProfile film;
  film.name = keys.text("name").value_or(path.stem().string());
  const std::optional<FilmKind> kind = film_kind_of(keys.text("kind").value_or("bw"));
  if (!kind) keys.refuse("kind", "must be one of " + film_kind_words(", "));
  film.kind = *kind;
  const std::optional<double> speed = keys.number("speed", kLeastSpeed, kMostSpeed);
  if (!speed) keys.refuse("speed", "is missing; it is the film's ISO speed, as 400");
  film.iso_speed = FilmSpeed(*speed);
  film.contrast_relative_sigma = film_facts::kStatedContrastSigma;
  keys.set(film.contrast_relative_sigma, "contrast_uncertainty", 0, 1);
  const std::optional<ContrastSource> source =
      named<ContrastSource>(keys.text("contrast_source").value_or("profile"));
  if (!source) keys.refuse("contrast_source", "must be one of " + contrast_sources());
  film.contrast_source = *source;
  keys.set(film.shoulder_sigma_stops, "shoulder_uncertainty", 0, 10);
  keys.set(film.toe_sigma_stops, "toe_uncertainty", 0, 0.6);
  film.upper_gradient_sigma = film_facts::kUpperShareOfContrast * film.contrast_relative_sigma;
  keys.set(film.upper_gradient_sigma, "upper_gradient_uncertainty", 0, 1);
  film.measured_through = keys.text("measured_through").value_or("");
  film.speed_measured = keys.yes_or_no("speed_measured").value_or(false);
  keys.set(film.speed_sigma_stops, "speed_uncertainty", 0, 5);
  film.notes = keys.text("notes").value_or("");
  read_reciprocity(path, table, film.reciprocity);
  read_layers(path, table, film);
  return film;
}

}  // namespace basefog::film

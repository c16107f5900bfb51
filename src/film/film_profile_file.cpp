// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/film/sensitometry.hpp"
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
      refuse(key, fmt::format("must be from {:g} to {:g}", least, most));
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

/// Densities typed or digitised from a sheet are good to this (judgement; of 35 digitised sheets
/// the greatest dip is 0.009).
constexpr double kDigitisingError = 0.02;

/// Densities that never fall, nearest to those given: where they dip, neighbours share their mean
/// (pooling of adjacent violators). The greatest dip.
double smooth_dips(std::vector<CurvePoint>& points) {
  struct Pool {
    double sum = 0;
    std::size_t count = 0;
    double mean() const { return sum / static_cast<double>(count); }
  };
  std::vector<Pool> pools;
  double highest = points.empty() ? 0 : points.front().density.value();
  double dip = 0;
  for (const CurvePoint& point : points) {
    highest = std::max(highest, point.density.value());
    dip = std::max(dip, highest - point.density.value());
    pools.push_back({point.density.value(), 1});
    while (pools.size() > 1 && pools.back().mean() < pools[pools.size() - 2].mean()) {
      const Pool last = pools.back();
      pools.pop_back();
      pools.back().sum += last.sum;
      pools.back().count += last.count;
    }
  }
  std::size_t next = 0;
  for (const Pool& pool : pools) {
    for (std::size_t i = 0; i < pool.count; ++i) points[next++].density = NetDensity(pool.mean());
  }
  return dip;
}

/// The points of a layer and how they were given.
struct LayerPoints {
  std::vector<CurvePoint> points;
  double dip = 0;  ///< that was smoothed, density
};

/// Says where points of a sheet cannot be a curve, in the sheet's own numbers.
void check_rising(const Keys& keys, std::string_view key,
                  const std::vector<std::pair<double, double>>& rows) {
  double highest = rows.front().second;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto [x, density] = rows[i];
    if (!std::isfinite(x) || !std::isfinite(density)) continue;  // the curve says so
    if (x <= rows[i - 1].first) {
      keys.refuse(key, fmt::format("has exposures that do not rise: {:.4g} after {:.4g}", x,
                                   rows[i - 1].first));
    }
    if (density < highest - kDigitisingError) {
      keys.refuse(key, fmt::format("has a density that falls with more exposure: {:.3g} at {:.4g}, "
                                   "after {:.3g}",
                                   density, x, highest));
    }
    highest = std::max(highest, density);
  }
}

/// zero: where log H counts from.
LayerPoints read_points(const Keys& keys, LogExposure zero) {
  constexpr std::array<std::string_view, 3> kWays = {"points", "points_log_h",
                                                     "points_relative_log_h"};
  LayerPoints found;
  std::string_view given;
  for (const std::string_view way : kWays) {
    const auto rows = keys.pairs(way);
    if (rows.empty()) continue;
    if (!given.empty()) keys.refuse(way, "cannot stand beside '" + std::string(given) + "'");
    given = way;
    check_rising(keys, way, rows);
    double base = 0;
    if (way != kWays[0]) {
      base = std::ranges::min(rows, {}, &std::pair<double, double>::second).second;
      keys.set(base, "base_density", 0, 6);
    }
    for (const auto& [x, density] : rows) {
      const Stops stops = way == kWays[0] ? Stops(x) : LogExposure::from_log10(x) - zero;
      found.points.push_back({stops, NetDensity(density - base)});
    }
  }
  found.dip = smooth_dips(found.points);
  return found;
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

bool has_points(const toml::table& layer) {
  return layer.contains("points") || layer.contains("points_log_h") ||
         layer.contains("points_relative_log_h");
}

/// zero: where log H counts from. smoothed: the greatest dip so far.
FilmLayer read_layer(const std::filesystem::path& path, const toml::table& table,
                     const FilmProfile& film, LogExposure zero, double& smoothed) {
  const std::string number = std::to_string(film.layers.size());
  const Keys keys(path, table, "layer[" + number + "].");
  keys.only_known("layer");
  if (has_points(table)) {
    keys.none_of(
        {"speed_density", "rise_over_1_30", "toe_width", "shoulder", "shoulder_width", "threshold"},
        "shapes a curve without points; leave it out, or the points");
  }
  if (!table.contains("points_log_h") && !table.contains("points_relative_log_h")) {
    keys.none_of({"base_density"}, "belongs to 'points_log_h'; densities are net otherwise");
  }
  try {
    const std::string name = keys.text("name").value_or("silver");
    if (!has_points(table)) return {name, read_shape(keys, film)};
    const LayerPoints read = read_points(keys, zero);
    smoothed = std::max(smoothed, read.dip);
    return {name, CharacteristicCurve::from_points(read.points)};
  } catch (const InputError& error) {
    if (!error.path().empty()) throw;
    throw InputError(error.code(), path,
                     "layer " + std::to_string(film.layers.size() + 1) + " " + error.problem(),
                     error.next_step());
  }
}

/// The film's own speed point above the zero that its layers count from; empty where their points
/// do not reach it.
std::optional<Stops> own_speed_point(const FilmProfile& film) {
  const bool colour = film.kind == FilmKind::colour_negative;
  std::vector<LogExposure> places;
  for (const FilmLayer& layer : film.layers) {
    const auto place = layer.curve.where(colour ? film_facts::kIso5800SpeedDensity
                                                : film_facts::kIso6SpeedDensity);
    if (!place) return std::nullopt;
    places.push_back(LogExposure::from_log10(place->log10()));
  }
  const LogExposure point =
      colour ? iso5800_speed_point(places[0], places[1], places[2]) : places.front();
  return point - LogExposure::from_log10(0);
}

void note(FilmProfile& film, const std::string& text) {
  film.notes += (film.notes.empty() ? "" : "\n") + text;
}

void read_layers(const std::filesystem::path& path, const toml::table& table, FilmProfile& film) {
  const Keys keys(path, table, "");
  const std::size_t wanted = film.kind == FilmKind::colour_negative ? 3 : 1;
  const toml::array* layers = table["layer"].as_array();
  if (layers == nullptr || layers->size() != wanted) {
    keys.refuse("layer", wanted == 3 ? "must stand three times, as red, green and blue"
                                     : "must stand once, as [[layer]]");
  }
  std::size_t relative = 0;
  bool absolute = false;
  for (const toml::node& node : *layers) {
    const toml::table* layer = node.as_table();
    if (layer == nullptr) keys.refuse("layer", "must be a table, as [[layer]]");
    relative += layer->contains("points_relative_log_h") ? 1 : 0;
    absolute |= layer->contains("points_log_h");
  }
  if (relative != 0 && relative != wanted) {
    keys.refuse("layer", "must have points_relative_log_h in every layer or in none");
  }
  double smoothed = 0;
  const auto read_from = [&](LogExposure zero) {
    film.layers.clear();
    for (const toml::node& node : *layers) {
      film.layers.push_back(read_layer(path, *node.as_table(), film, zero, smoothed));
    }
  };
  read_from(relative > 0 ? LogExposure::from_log10(0) : film.speed_point());
  constexpr std::array<std::string_view, 3> kNames = {"red", "green", "blue"};
  for (std::size_t i = 0; wanted == 3 && i < 3; ++i) {
    if (film.layers[i].name != kNames[i]) {
      keys.refuse("layer", "must be named red, green and blue in this order");
    }
  }
  const std::optional<Stops> own = own_speed_point(film);
  if (relative > 0) {
    if (!own) keys.refuse("layer", "must reach the speed density, which its zero is laid by");
    read_from(LogExposure::from_log10(own->log10()));
  }
  if (smoothed > 0) {
    note(film, fmt::format("Densities that fell by up to {:.3f} with more exposure were smoothed.",
                           smoothed));
  }
  // Films are seldom off their box by more; a sheet whose zero is its own is, by anything.
  constexpr Stops kThird{1.0 / 3};
  if (absolute && own && abs(*own) > kThird) {
    note(film,
         fmt::format(
             "Is its speed ISO {:.4g}? By its own points it is ISO {:.3g}. If the sheet's log "
             "H counts from a zero of its own, say points_relative_log_h.",
             film.iso_speed.iso(), film.iso_speed.iso() / own->ratio()));
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
  reciprocity = {};
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
  return film_profile_of(read_text_file(path, {"a film profile", limits::kMostSettingsBytes}),
                         path);
}

FilmProfile film_profile_of(const std::string& text, const std::filesystem::path& path) {
  const toml::table table = parse_toml(text, path, std::string(kNextStep));
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
  if (film.contrast_is_assumed()) {
    film.layer_gradient_sigma = film_facts::kLayerGradientSigma;
    film.layer_place_sigma = film_facts::kLayerSigma;
  }
  keys.set(film.layer_gradient_sigma, "layer_gradient_uncertainty", 0, 1);
  keys.set(film.layer_place_sigma, "layer_place_uncertainty", 0, 2);
  film.measured_through = keys.text("measured_through").value_or("");
  film.measured_on = keys.text("measured_on").value_or("");
  film.speed_measured = keys.yes_or_no("speed_measured").value_or(false);
  keys.set(film.speed_sigma_stops, "speed_uncertainty", 0, 5);
  film.notes = keys.text("notes").value_or("");
  film.reciprocity = generic_film(film.kind, film.iso_speed).reciprocity;
  read_reciprocity(path, table, film.reciprocity);
  read_layers(path, table, film);
  return film;
}

}  // namespace basefog::film

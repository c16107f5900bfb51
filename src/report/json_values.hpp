// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <ostream>
#include <string>

#include "basefog/core/estimate.hpp"
#include "basefog/core/quality.hpp"
#include "basefog/core/version.hpp"
#include "basefog/density/density.hpp"

// How values stand in every JSON that basefog writes.
namespace basefog::report {

using Json = nlohmann::ordered_json;

/// Stops and densities: a thousandth is a thirtieth of the best interval that a scan gives.
inline constexpr int kDecimals = 3;

/// Rounded to decimals, without a negative zero, which readers would print as "-0.0".
inline double rounded(double value, int decimals = kDecimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(value * scale) / scale + 0.0;
}

/// Six significant digits, for values of any size (seconds, lux·s, speeds).
inline double significant(double value) {
  if (value == 0 || !std::isfinite(value)) return value;
  return rounded(value, 5 - static_cast<int>(std::floor(std::log10(std::abs(value)))));
}

inline Json interval(std::optional<double> low, std::optional<double> high) {
  const auto end = [](std::optional<double> value) {
    return value && std::isfinite(*value) ? Json(rounded(*value)) : Json(nullptr);
  };
  return Json::array({end(low), end(high)});
}

inline void add_text(Json& object, const char* name, const std::string& text) {
  if (!text.empty()) object[name] = text;
}

inline Json flag_names(FlagSet flags) {
  Json names = Json::array();
  for (Flag flag : flags.list()) names.push_back(text_of(flag).name);
  return names;
}

/// One channel gives a number and a pair, three channels arrays of three (red, green, blue).
inline Json reference_json(const density::FilmBase& base) {
  Json densities = Json::array();
  Json intervals = Json::array();
  for (std::size_t c = 0; c < base.density.size(); ++c) {
    const double density = base.density[c].value();
    densities.push_back(rounded(density));
    if (c >= base.sigma.size()) continue;
    const double half = kNormal975 * base.sigma[c].value();
    intervals.push_back(interval(density - half, density + half));
  }
  Json json{{"kind", name_of(base.kind)}};
  if (densities.empty()) return json;
  const bool single = densities.size() == 1;
  json["density"] = single ? densities[0] : densities;
  if (intervals.size() == densities.size()) json["ci95"] = single ? intervals[0] : intervals;
  return json;
}

/// What every JSON begins with: its contract, and the program that made it.
inline Json headed(const char* schema) {
  return {{"schema", schema}, {"program", std::string("basefog ") + kVersion}};
}

/// With its end of line. File names need not be UTF-8; JSON must be.
inline void write(std::ostream& out, const Json& json) {
  out << json.dump(2, ' ', false, Json::error_handler_t::replace) << '\n';
}

}  // namespace basefog::report

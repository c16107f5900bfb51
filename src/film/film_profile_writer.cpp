// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <string>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/film/film_profile.hpp"
#include "film/film_profile_keys.hpp"

namespace basefog::film {
namespace {

/// A TOML basic string.
std::string toml_text(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
      result += c;
    } else if (c == '\n') {
      result += "\\n";
    } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      result += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
    } else {
      result += c;
    }
  }
  return result + "\"";
}

void write_layer(std::ostream& out, const FilmLayer& layer) {
  out << fmt::format("\n[[layer]]\nname = {}\n", toml_text(layer.name));
  out << "# stops above the speed point, density above base + fog\npoints = [\n";
  for (const CurvePoint& point : layer.curve.points()) {
    if (point.exposure < layer.curve.first() || point.exposure > layer.curve.last()) continue;
    out << fmt::format("  [{:.5f}, {:.5f}],\n", point.exposure.value(), point.density.value());
  }
  out << "]\n";
}

}  // namespace

void write_film_profile(std::ostream& out, const FilmProfile& film) {
  const double speed = film.iso_speed.iso();
  if (!(speed >= kLeastSpeed && speed <= kMostSpeed)) {
    throw InputError(ErrorCode::usage, film.name, fmt::format("no film has a speed of {}", speed),
                     fmt::format("give its ISO speed, {} to {}", kLeastSpeed, kMostSpeed));
  }
  out << "# A film profile of basefog.\n";
  out << fmt::format("name = {}\nkind = {}\nspeed = {:.6g}\n", toml_text(film.name),
                     toml_text(text_of(film.kind).word), film.iso_speed.iso());
  out << fmt::format("speed_measured = {}\nspeed_uncertainty = {:.4f}  # stops, one sigma\n",
                     film.speed_measured, film.speed_sigma_stops);
  out << fmt::format("contrast_source = {}\ncontrast_uncertainty = {:.5f}  # share, one sigma\n",
                     toml_text(std::string(name_of(film.contrast_source))),
                     film.contrast_relative_sigma);
  out << fmt::format("shoulder_uncertainty = {:.3f}  # stops, one sigma\n",
                     film.shoulder_sigma_stops);
  out << fmt::format("upper_gradient_uncertainty = {:.3f}  # share, one sigma\n",
                     film.upper_gradient_sigma);
  out << fmt::format("toe_uncertainty = {:.3f}  # stops a stop below the speed point, one sigma\n",
                     film.toe_sigma_stops);
  if (film.kind == FilmKind::colour_negative) {
    out << fmt::format(
        "layer_gradient_uncertainty = {:.3f}  # share, one sigma\n"
        "layer_place_uncertainty = {:.3f}  # stops, one sigma\n",
        film.layer_gradient_sigma, film.layer_place_sigma);
  }
  if (!film.measured_through.empty()) {
    out << fmt::format("measured_through = {}  # response of the scans\n",
                       toml_text(film.measured_through));
  }
  if (!film.measured_on.empty()) {
    out << fmt::format("measured_on = {}  # roll\n", toml_text(film.measured_on));
  }
  if (!film.notes.empty()) out << fmt::format("notes = {}\n", toml_text(film.notes));
  out << fmt::format(
      "\n[reciprocity]\nexponent = {:.4g}\nuncertainty = {:.3g}  # share of the loss\n",
      film.reciprocity.exponent, film.reciprocity.relative_sigma);
  if (!film.reciprocity.table.empty()) {
    out << "table = [  # metered, corrected seconds\n";
    for (const ReciprocityPoint& row : film.reciprocity.table) {
      out << fmt::format("  [{:.6g}, {:.6g}],\n", row.metered_seconds, row.corrected_seconds);
    }
    out << "]\n";
  }
  for (const FilmLayer& layer : film.layers) write_layer(out, layer);
}

}  // namespace basefog::film

// SPDX-License-Identifier: GPL-3.0-or-later
// What the smaller commands answer, for machines: names and units as in a review's JSON.
#include <algorithm>

#include "basefog/film/sensitometry.hpp"
#include "basefog/report/bias_table.hpp"
#include "basefog/report/equivalents_table.hpp"
#include "basefog/report/film_report.hpp"
#include "basefog/report/layout_report.hpp"
#include "basefog/report/log_table.hpp"
#include "basefog/report/log_wording.hpp"
#include "report/json_values.hpp"

namespace basefog::report {
namespace {

void add_settings(Json& object, const log::ShotSettings& settings) {
  if (settings.shutter) object["shutter_s"] = significant(settings.shutter->seconds());
  if (settings.aperture) object["aperture"] = significant(settings.aperture->value());
}

void add_stops(Json& object, const char* name, const std::optional<Stops>& stops) {
  if (stops) object[name] = rounded(stops->value());
}

Json row_json(const log::LogRow& row) {
  Json json{{"line", row.line}};
  add_text(json, "frame", row.frame);
  add_text(json, "roll", row.roll);
  add_settings(json, row.used);
  Json metered = Json::object();
  add_settings(metered, row.metered);
  if (!metered.empty()) json["metered"] = std::move(metered);
  if (row.ei) json["ei"] = significant(row.ei->iso());
  add_stops(json, "compensation", row.compensation);
  add_stops(json, "filter", row.filter);
  add_text(json, "filter_name", row.filter_name);
  add_stops(json, "push", row.push);
  if (row.mode) json["mode"] = name_of(*row.mode);
  add_text(json, "lens", row.lens);
  if (row.focal_length_mm) json["focal_length_mm"] = significant(*row.focal_length_mm);
  add_text(json, "metering", row.metering);
  add_text(json, "date", row.date);
  add_text(json, "scene", row.scene);
  add_text(json, "note", row.note);
  json["no_picture"] = row.no_picture;
  json["flash"] = row.flash;
  json["doubtful"] = row.doubtful;
  return json;
}

Json layer_json(const film::FilmLayer& layer, const film::FilmProfile& film) {
  const film::CharacteristicCurve& curve = layer.curve;
  const double gradient = curve.average_gradient();
  const double half = kNormal975 * film.contrast_relative_sigma * gradient;
  Json json{{"name", layer.name},
            {"average_gradient",
             {{"value", rounded(gradient)}, {"ci95", interval(gradient - half, gradient + half)}}}};
  const auto add_known = [&json](const char* name, const std::optional<double>& value) {
    if (value) json[name] = rounded(*value);
  };
  add_known("contrast_index", film::contrast_index(curve));
  add_known("gamma", film::gamma(curve));
  add_known("delta_x", film::delta_x(curve));
  json["can_be_read"] = interval(curve.lowest().value(), curve.highest().value());
  json["highlight_limit"] = {{"stops", rounded(curve.highlight_limit().value())},
                             {"density", rounded(curve.density(curve.highlight_limit()).value())},
                             {"shoulder_seen", curve.shoulder_seen()}};
  json["density_at_aim"] = rounded(curve.density(aim_above_speed_point(film)).value());
  return json;
}

Json reciprocity_json(const film::FilmProfile& film) {
  Json times = Json::array();
  for (const ShutterTime metered : kReciprocityTimes) {
    const film::ReciprocityLoss loss = film::reciprocity_loss(film.reciprocity, metered);
    const double half = kNormal975 * loss.sigma.value();
    times.push_back(
        {{"metered_s", significant(metered.seconds())},
         {"corrected_s", significant(film::corrected_time(film.reciprocity, metered).seconds())},
         {"stops", rounded(loss.loss.value())},
         {"ci95", interval(loss.loss.value() - half, loss.loss.value() + half)}});
  }
  return times;
}

Json frame_json(const area::FrameRegion& region, std::size_t index) {
  return {{"index", index},
          {"centre_px", {rounded(region.centre_x, 1), rounded(region.centre_y, 1)}},
          {"size_px", {rounded(region.width, 1), rounded(region.height, 1)}},
          {"turned_degrees", rounded(region.angle_degrees)}};
}

}  // namespace

std::string layout_json(const scan::Scan& scan, const area::FilmLayout& layout,
                        const std::vector<density::FrameMeasurement>& frames) {
  Json json{{"file", scan.path.string()},
            {"format", scan.format},
            {"size_px", {scan.width, scan.height}},
            {"bits", scan.bits_per_sample},
            {"channels", scan.blocks.channels}};
  if (!frames.empty()) json["clear_film"] = reference_json(frames.front().rebate);
  json["strips"] = Json::array();
  for (const area::FilmStrip& strip : layout.strips) json["strips"].push_back(strip.frames);
  json["frames"] = Json::array();
  FlagSet flags = layout.flags;
  for (std::size_t i = 0; i < layout.frames.size(); ++i) {
    Json frame = frame_json(layout.frames[i], i + 1);
    if (i < frames.size()) {
      frame["state"] = name_of(frames[i].state);
      flags.insert(frames[i].flags);
    }
    json["frames"].push_back(std::move(frame));
  }
  json["flags"] = flag_names(flags);
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

void write_layouts_json(std::ostream& out, std::span<const std::string> scans) {
  Json json = headed("basefog.read/1");
  json["scans"] = Json::array();
  for (const std::string& scan : scans) json["scans"].push_back(Json::parse(scan));
  write(out, json);
}

void write_log_json(std::ostream& out, const log::ShotLog& log) {
  Json json = headed("basefog.log/1");
  json["file"] = log.path.string();
  json["encoding"] = log.encoding;
  add_text(json, "roll", log.roll);
  add_text(json, "film", log.film);
  if (log.film_speed) json["film_speed"] = significant(log.film_speed->iso());
  add_text(json, "camera", log.camera);
  add_text(json, "meter", log.meter);
  json["columns"] = Json::array();
  for (const log::LogColumn& column : log.columns) {
    json["columns"].push_back({{"header", column.header}, {"meaning", column.meaning}});
  }
  json["rows"] = Json::array();
  for (const log::LogRow& row : log.rows) json["rows"].push_back(row_json(row));
  json["remarks"] = Json::array();
  for (const log::LogRemark& remark : log.remarks) {
    Json one{{"line", remark.line}};
    add_text(one, "column", remark.column);
    add_text(one, "value", remark.value);
    one["text"] = remark_text(remark);
    json["remarks"].push_back(std::move(one));
  }
  write(out, json);
}

void write_film_json(std::ostream& out, const film::FilmProfile& film) {
  Json json = headed("basefog.film/1");
  json["name"] = film.name;
  json["kind"] = name_of(film.kind);
  json["film_speed"] = significant(film.iso_speed.iso());
  json["speed_measured"] = film.speed_measured;
  json["speed_point_log_h"] = rounded(film.speed_point().log10());
  json["aim"] = rounded(aim_above_speed_point(film).value());
  json["contrast_source"] = name_of(film.contrast_source);
  json["layers"] = Json::array();
  for (const film::FilmLayer& layer : film.layers) {
    json["layers"].push_back(layer_json(layer, film));
  }
  json["reciprocity"] = reciprocity_json(film);
  add_text(json, "notes", film.notes);
  write(out, json);
}

void write_equivalents_json(std::ostream& out, const log::EquivalentQuestion& question,
                            std::span<const log::EquivalentSettings> settings) {
  Json from = Json::object();
  add_settings(from, {question.shutter, question.aperture});
  Json json = headed("basefog.equivalents/1");
  json["from"] = std::move(from);
  json["wanted"] = rounded(question.wanted.value());
  json["settings"] = Json::array();
  for (const log::EquivalentSettings& one : settings) {
    Json pair{{"marked", {as_marked(one.shutter), as_marked(one.aperture)}}};
    add_settings(pair, {one.shutter, one.aperture});
    pair["stops"] = rounded(one.change.value());
    pair["off"] = rounded(one.off.value());
    pair["blur"] = significant(one.blur);
    pair["depth_of_field"] = significant(one.depth_of_field);
    pair["tripod"] = one.below_hand_hold;
    json["settings"].push_back(std::move(pair));
  }
  write(out, json);
}

void write_ledger_json(std::ostream& out, std::span<const meter::RememberedRoll> rolls) {
  Json json = headed("basefog.ledger/1");
  json["rolls"] = Json::array();
  for (const meter::RememberedRoll& roll : rolls) {
    Json one{{"roll", roll.name}};
    add_text(one, "camera", roll.camera);
    add_text(one, "date", roll.date);
    add_text(one, "film", roll.film);
    one["film_speed"] = significant(roll.film_speed.iso());
    one["frames"] = roll.deviations.size();
    json["rolls"].push_back(std::move(one));
  }
  write(out, json);
}

}  // namespace basefog::report

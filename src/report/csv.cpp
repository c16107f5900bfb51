// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string>

#include "basefog/report.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace {

/// A number, or an empty field for what was not measured.
std::string number(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return "";
  const double scale = std::pow(10.0, decimals);
  return fmt::format("{:g}", std::round(*value * scale) / scale + 0.0);
}

std::string stops(std::optional<Stops> value) {
  return number(value ? std::optional(value->value()) : std::nullopt, 3);
}

/// Fields of one record [RFC4180], which ends in CR LF.
class Record {
 public:
  void add(const std::string& field) {
    if (!first_) line_ += ',';
    first_ = false;
    line_ += field;
  }
  void add_text(std::string_view text) { add(report::csv_text(text)); }
  void add_estimate(const StopsEstimate* estimate) {
    const bool known = estimate != nullptr && report::is_known(*estimate);
    add(known ? stops(estimate->value) : "");
    add(known ? stops(estimate->low) : "");
    add(known ? stops(estimate->high) : "");
  }
  std::string line() const { return line_ + "\r\n"; }

 private:
  std::string line_;
  bool first_ = true;
};

std::string header() {
  Record record;
  for (const char* name : {"frame", "file", "index in file", "state", "picture", "verdict"}) {
    record.add(name);
  }
  for (const char* answer : {"correction", "exposure", "shadow reserve", "highlight reach",
                             "highlight room", "deviation"}) {
    record.add(fmt::format("{} (stops)", answer));
    record.add(fmt::format("{} low (stops)", answer));
    record.add(fmt::format("{} high (stops)", answer));
  }
  for (const char* difference : {"red less green", "blue less green"}) {
    record.add(fmt::format("{} (stops)", difference));
    record.add(fmt::format("{} low (stops)", difference));
    record.add(fmt::format("{} high (stops)", difference));
  }
  for (const char* name : {"expected (stops)", "technique (stops)", "scene (EV at ISO 100)",
                           "scene low (EV at ISO 100)", "scene high (EV at ISO 100)", "reference",
                           "base + fog gray or red (density)", "base + fog green (density)",
                           "base + fog blue (density)", "log row", "shutter (s)", "f-number",
                           "EI (ISO)", "compensation (stops)", "mode", "scene", "note", "flags"}) {
    record.add(name);
  }
  return record.line();
}

void add_logged(Record& record, const LogRow* row) {
  if (row == nullptr) {
    for (int column = 0; column < 8; ++column) record.add("");
    return;
  }
  record.add_text(row->frame);
  record.add(row->used.shutter ? fmt::format("{:.6g}", row->used.shutter->seconds()) : "");
  record.add(row->used.aperture ? number(row->used.aperture->value(), 2) : "");
  record.add(row->ei ? number(row->ei->iso(), 1) : "");
  record.add(stops(row->compensation));
  record.add(row->mode ? std::string(name_of(*row->mode)) : "");
  record.add_text(row->scene);
  record.add_text(row->note);
}

std::string frame_record(const Analysis& analysis, const FrameResult& frame,
                         const std::string& name) {
  const FrameReading* reading = frame.reading ? &*frame.reading : nullptr;
  const auto estimate = [reading](Answer FrameReading::*answer) {
    return reading != nullptr ? &(reading->*answer).estimate : nullptr;
  };
  Record record;
  record.add_text(name);
  record.add_text(frame.measurement.file.string());
  record.add(std::to_string(frame.measurement.index));
  record.add(std::string(name_of(frame.state)));
  record.add_text(report::picture_text(frame));
  const bool judged = reading != nullptr && report::is_known(reading->correction.estimate);
  record.add(judged ? std::string(name_of(reading->verdict)) : "");
  record.add_estimate(estimate(&FrameReading::correction));
  record.add_estimate(estimate(&FrameReading::exposure));
  record.add_estimate(estimate(&FrameReading::shadow_reserve));
  record.add_estimate(estimate(&FrameReading::highlight_reach));
  record.add_estimate(estimate(&FrameReading::highlight_room));
  record.add_estimate(frame.deviation ? &*frame.deviation : nullptr);
  const LightColour* colour =
      reading != nullptr && reading->light_colour ? &*reading->light_colour : nullptr;
  record.add_estimate(colour != nullptr ? &colour->red : nullptr);
  record.add_estimate(colour != nullptr ? &colour->blue : nullptr);
  record.add(stops(frame.expected));
  record.add(stops(frame.technique));
  record.add_estimate(frame.scene_ev ? &*frame.scene_ev : nullptr);
  const FilmBase& base = frame.reference;
  record.add(base.kind == ReferenceKind::none ? "" : std::string(name_of(base.kind)));
  for (std::size_t c = 0; c < 3; ++c) {
    const bool given = base.kind != ReferenceKind::none && c < base.density.size();
    record.add(given ? number(base.density[c].value(), 3) : "");
  }
  add_logged(record, report::row_of(analysis, frame));
  std::string flags;
  for (Flag flag : frame.flags.list()) {
    if (!flags.empty()) flags += ' ';
    flags += text_of(flag).name;
  }
  record.add_text(flags);
  return record.line();
}

}  // namespace

void write_csv(std::ostream& out, const Analysis& analysis) {
  out << header();
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    out << frame_record(analysis, analysis.frames[i], names[i]);
  }
}

}  // namespace basefog

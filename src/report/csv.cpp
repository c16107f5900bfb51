// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "basefog/core/version.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_summary.hpp"
#include "report/csv_columns.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::report {
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
template <class Zero>
std::string stops(const std::optional<ExposurePoint<Zero>>& point) {
  return stops(point ? std::optional(in_stops(*point)) : std::nullopt);
}

/// Fields of one record [RFC4180], which ends in CR LF.
class Record {
 public:
  void add(const std::string& field) {
    if (!first_) line_ += ',';
    first_ = false;
    line_ += field;
  }
  void add_text(std::string_view text) { add(csv_text(text)); }
  void add_estimate(const std::optional<StopsEstimate>& estimate) {
    const bool known = estimate && is_known(*estimate);
    add(known ? stops(estimate->value) : "");
    add(known ? stops(estimate->low) : "");
    add(known ? stops(estimate->high) : "");
  }
  std::string line() const { return line_ + "\r\n"; }

 private:
  std::string line_;
  bool first_ = true;
};

/// Spreadsheets take a file for UTF-8 where it begins with a byte order mark [RFC3629, 6]. Others
/// may take the mark for part of the first name, so it stands only where a letter needs it.
void write_text(std::ostream& out, const std::string& text) {
  const bool ascii = std::all_of(text.begin(), text.end(),
                                 [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  out << (ascii ? "" : "\xEF\xBB\xBF") << text;
}

std::string header(std::span<const CsvColumn> columns) {
  Record record;
  for (const CsvColumn& column : columns) {
    for (const std::string& head : heads_of(column)) record.add(head);
  }
  return record.line();
}

void add_logged(Record& record, const log::LogRow* row) {
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

std::string frame_record(const roll::Analysis& analysis, const roll::FrameResult& frame,
                         const std::string& name) {
  const reading::FrameReading* reading = frame.reading ? &*frame.reading : nullptr;
  const auto estimate = [reading](auto reading::FrameReading::*answer) {
    return reading != nullptr ? std::optional(in_stops((reading->*answer).estimate)) : std::nullopt;
  };
  Record record;
  record.add_text(name);
  record.add_text(frame.measurement.file.string());
  record.add(std::to_string(frame.measurement.index));
  record.add(std::string(name_of(frame.state)));
  record.add_text(picture_text(frame));
  const bool judged = reading != nullptr && is_known(reading->correction.estimate);
  record.add(judged ? std::string(name_of(reading->verdict)) : "");
  record.add(judged ? number(reading->verdict_chance, 3) : "");
  record.add_estimate(estimate(&reading::FrameReading::correction));
  record.add_estimate(estimate(&reading::FrameReading::exposure));
  record.add_estimate(estimate(&reading::FrameReading::shadow_reserve));
  record.add_estimate(estimate(&reading::FrameReading::highlight_reach));
  record.add_estimate(estimate(&reading::FrameReading::highlight_room));
  record.add_estimate(frame.deviation);
  const std::optional<reading::LightColour> colour =
      reading != nullptr ? reading->light_colour : std::nullopt;
  record.add_estimate(colour ? std::optional(colour->red) : std::nullopt);
  record.add_estimate(colour ? std::optional(colour->blue) : std::nullopt);
  record.add(stops(frame.expected));
  record.add(stops(frame.technique));
  record.add_estimate(frame.scene_ev);
  const density::FilmBase& base = frame.reference;
  record.add(base.kind == density::ReferenceKind::none ? "" : std::string(name_of(base.kind)));
  for (std::size_t c = 0; c < 3; ++c) {
    const bool given = base.kind != density::ReferenceKind::none && c < base.density.size();
    record.add(given ? number(base.density[c].value(), 3) : "");
  }
  add_logged(record, row_of(analysis, frame));
  std::string flags;
  for (Flag flag : frame.flags.list()) {
    if (!flags.empty()) flags += ' ';
    flags += text_of(flag).name;
  }
  record.add_text(flags);
  const density::FileSum* sum = sum_of(analysis, frame.measurement.file);
  record.add(sum != nullptr ? std::to_string(sum->bytes) : "");
  // As a text: a number would lose its leading zeros, or be taken for 1e5.
  record.add(sum != nullptr ? "crc32:" + crc32_text(*sum) : "");
  record.add(std::string("basefog ") + kVersion);
  return record.line();
}

/// A name as a field; an apostrophe keeps one that begins with '#' from being a comment, as
/// csv_text keeps others from being formulas.
std::string name_field(const std::string& name) {
  return csv_text(name.starts_with('#') ? "'" + name : name);
}

}  // namespace

void write_csv(std::ostream& out, const roll::Analysis& analysis) {
  std::string text = header(frames_columns());
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    text += frame_record(analysis, analysis.frames[i], names[i]);
  }
  write_text(out, text);
}

void write_rolls_csv(std::ostream& out, std::span<const RollSummary> rolls) {
  std::string text = header(rolls_columns());
  for (const RollSummary& roll : rolls) {
    Record record;
    record.add_text(roll.name);
    record.add_text(roll.report.generic_string());
    record.add_text(roll.failure.empty() ? roll.trouble : roll.failure);
    const bool reviewed = roll.failure.empty();
    for (std::size_t count : {roll.frames, roll.well_exposed, roll.under, roll.over, roll.unsure,
                              roll.blank, roll.not_measured}) {
      record.add(reviewed ? std::to_string(count) : "");
    }
    record.add(stops(roll.median_exposure));
    record.add_estimate(roll.bias);
    record.add_text(roll.worst_frame);
    record.add_text(roll.worst_words);
    record.add(reviewed ? std::to_string(roll.warnings) : "");
    record.add(reviewed ? number(roll.attention, 3) : "");
    text += record.line();
  }
  write_text(out, text);
}

void write_match_file(std::ostream& out, const roll::Analysis& analysis) {
  out << "# Where a scan has another row, write the frame as the log names it, or nothing where "
         "the "
         "log has none,\r\n# and yes in the column fixed. Lines without yes are left to the "
         "matching.\r\n"
         "file,frame,fixed,probability,remark\r\n";
  if (!analysis.log || !analysis.matching) return;
  const std::vector<matching::FrameMatch>& matches = analysis.matching->frames;
  for (std::size_t i = 0; i < std::min(analysis.frames.size(), matches.size()); ++i) {
    const matching::FrameMatch& match = matches[i];
    out << name_field(file_and_index(analysis, i)) << ','
        << (match.row ? name_field(matching::row_name(*analysis.log, *match.row)) : "") << ','
        << (match.fixed ? "yes" : "") << ',' << fmt::format("{:.3f}", match.probability) << ','
        << csv_text(possible_rows_text(analysis, i)) << "\r\n";
  }
}

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/sidecar.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <exiv2/exiv2.hpp>
#include <map>

#include "basefog/core/error.hpp"
#include "basefog/core/version.hpp"
#include "core/whole_file.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"
#include "scan/exiv2_session.hpp"

namespace basefog::report {
namespace {

/// Properties of one frame, under a prefix: "Xmp.basefog." or that of a structure in a list.
class Properties {
 public:
  Properties(Exiv2::XmpData& data, std::string own, std::string others)
      : data_(data), own_(std::move(own)), others_(std::move(others)) {}

  /// One of our own: "Verdict".
  void put(const std::string& name, const std::string& text) { set(own_ + name, text); }
  void put(const std::string& name, std::optional<Stops> stops) {
    if (stops && std::isfinite(stops->value())) put(name, fmt::format("{:+.3f}", stops->value()));
  }
  void put(const std::string& name, const StopsEstimate& estimate) {
    if (!is_known(estimate)) return;
    put(name, std::optional(estimate.value));
    put(name + "Low", estimate.low);
    put(name + "High", estimate.high);
  }
  template <class Zero>
  void put(const std::string& name, const Estimate<ExposurePoint<Zero>>& estimate) {
    put(name, in_stops(estimate));
  }
  void put_list(const std::string& name, const std::vector<std::string>& items) {
    if (items.empty()) return;
    Exiv2::XmpArrayValue list(Exiv2::xmpBag);
    for (const std::string& item : items) list.read(printable(item));
    data_.add(Exiv2::XmpKey(own_ + name), &list);
  }
  /// One of a standard schema: "exif", "FNumber".
  void put_standard(const char* schema, const char* name, const std::string& text) {
    set(others_ + (others_.back() == '/' ? std::string(schema) + ":" : std::string(schema) + ".") +
            name,
        text);
  }
  /// The same in words; of a whole file, not of a structure in a list.
  void put_standard_words(const char* schema, const char* name, const std::string& text) {
    if (text.empty()) return;
    Exiv2::LangAltValue words;
    words.read("lang=x-default " + printable(text));
    data_.add(Exiv2::XmpKey(others_ + schema + "." + name), &words);
  }

 private:
  void set(const std::string& key, const std::string& text) {
    if (text.empty()) return;
    // As plain text: exiv2's typed values would refuse what it does not expect.
    const Exiv2::XmpTextValue value(printable(text));
    data_.add(Exiv2::XmpKey(key), &value);
  }

  Exiv2::XmpData& data_;
  std::string own_;
  std::string others_;
};

/// "1/125", "4/1", "3/2": as marked, for times below a third of a second one over a whole number.
std::string rational_seconds(ShutterTime time) {
  const double seconds = time.seconds();
  if (seconds < 1.0 / 3) return fmt::format("1/{}", std::lround(1 / seconds));
  const long tenths = std::lround(seconds * 10);
  return tenths % 10 == 0 ? fmt::format("{}/1", tenths / 10) : fmt::format("{}/10", tenths);
}

/// "8/1", "56/10"; "95/100" where tenths would be off by more than a hundredth of the value.
std::string rational(double value) {
  const long tenths = std::lround(value * 10);
  constexpr double kFarOff = 0.01;
  if (std::abs(static_cast<double>(tenths) / 10 - value) > kFarOff * value) {
    return fmt::format("{}/100", std::lround(value * 100));
  }
  return tenths % 10 == 0 ? fmt::format("{}/1", tenths / 10) : fmt::format("{}/10", tenths);
}

/// Whole thirds of a stop as such, which are no round decimals.
std::string rational_stops(Stops stops) {
  const double thirds = stops.value() * 3;
  if (std::abs(thirds - std::round(thirds)) < 0.11) {
    const long count = std::lround(thirds);
    return count % 3 == 0 ? fmt::format("{}/1", count / 3) : fmt::format("{}/3", count);
  }
  return fmt::format("{}/10", std::lround(stops.value() * 10));
}

/// ExposureProgram [Exif]: 1 manual, 2 program, 3 aperture priority, 4 shutter priority.
const char* exposure_program(log::ExposureMode mode) {
  switch (mode) {
    case log::ExposureMode::manual:
      return "1";
    case log::ExposureMode::program:
      return "2";
    case log::ExposureMode::aperture_priority:
      return "3";
    case log::ExposureMode::shutter_priority:
      return "4";
  }
  return "0";
}

/// The taking camera's settings, in the fields that every catalogue reads [Exif], [XMP, part 2].
void put_settings(Properties& to, const log::LogRow& row) {
  if (row.used.shutter)
    to.put_standard("exif", "ExposureTime", rational_seconds(*row.used.shutter));
  if (row.used.aperture) {
    to.put_standard("exif", "FNumber", rational(row.used.aperture->value()));
  }
  if (row.ei) {
    to.put_standard("exifEX", "PhotographicSensitivity",
                    std::to_string(std::lround(row.ei->iso())));
  }
  if (row.compensation) {
    to.put_standard("exif", "ExposureBiasValue", rational_stops(*row.compensation));
  }
  if (row.mode) to.put_standard("exif", "ExposureProgram", exposure_program(*row.mode));
  if (row.focal_length_mm) {
    to.put_standard("exif", "FocalLength", rational(*row.focal_length_mm));
  }
  to.put_standard("exif", "DateTimeOriginal", row.date);
  to.put_standard("exifEX", "LensModel", row.lens);
}

void put_words(Properties& to, const log::LogRow& row) {
  std::string words = row.scene;
  if (!row.note.empty()) words += (words.empty() ? "" : ". ") + row.note;
  to.put_standard_words("dc", "description", words);
}

/// The row, where it is surely this frame's.
const log::LogRow* sure_row_of(const roll::Analysis& analysis, const roll::FrameResult& frame) {
  return frame.flags.contains(Flag::match_doubtful) ? nullptr : row_of(analysis, frame);
}

void put_results(Properties& to, const roll::Analysis& analysis, std::size_t place,
                 const std::string& name) {
  const roll::FrameResult& frame = analysis.frames[place];
  to.put("Frame", name);
  to.put("State", std::string(name_of(frame.state)));
  to.put("Picture", picture_text(frame));
  if (frame.reading) {
    const reading::FrameReading& reading = *frame.reading;
    if (is_known(reading.correction.estimate)) {
      to.put("Verdict", std::string(name_of(reading.verdict)));
    }
    to.put("Correction", reading.correction.estimate);
    to.put("Exposure", reading.exposure.estimate);
    to.put("ShadowReserve", reading.shadow_reserve.estimate);
    to.put("HighlightReach", reading.highlight_reach.estimate);
    to.put("HighlightRoom", reading.highlight_room.estimate);
  }
  if (frame.expected) to.put("Expected", in_stops(*frame.expected));
  if (frame.deviation) to.put("Deviation", *frame.deviation);
  if (frame.technique) to.put("Technique", frame.technique);
  if (frame.log_row && analysis.log)
    to.put("LogRow", matching::row_name(*analysis.log, *frame.log_row));
  if (frame.reference.kind != density::ReferenceKind::none) {
    to.put("Reference", std::string(name_of(frame.reference.kind)));
  }
  std::vector<std::string> flags;
  for (Flag flag : frame.flags.list()) flags.emplace_back(text_of(flag).name);
  to.put_list("Flags", flags);
}

/// Of which scan this is said, and how it was read.
void put_scan(Properties& to, const roll::Analysis& analysis,
              const density::FrameMeasurement& frame) {
  to.put("Response", response_text(frame.response.source));
  if (const density::FileSum* sum = sum_of(analysis, frame.file)) {
    to.put("ScanBytes", std::to_string(sum->bytes));
    to.put("ScanCrc32", crc32_text(*sum));
  }
  to.put_list("Options", stated_texts(analysis));
}

/// What holds for the whole roll.
void put_roll(Properties& to, const roll::Analysis& analysis) {
  to.put_standard("xmp", "CreatorTool", std::string("basefog ") + kVersion);
  // A film scanner's file, whatever device made it [Exif, FileSource].
  to.put_standard("exif", "FileSource", "1");
  to.put_standard("tiff", "Model", camera_name(analysis));
  to.put("Film", analysis.film.name);
  to.put("FilmSpeed", fmt::format("{:g}", analysis.aim.film_speed.iso()));
  to.put("AimLuxSeconds", fmt::format("{:.6g}", analysis.aim.lux_seconds()));
}

std::string packet_for(const roll::Analysis& analysis, const std::vector<std::size_t>& frames,
                       const std::vector<std::string>& names) {
  const std::unique_lock session = scan::exiv2_session();
  Exiv2::XmpProperties::registerNs(kSidecarNamespace, "basefog");
  Exiv2::XmpData data;
  Properties whole(data, "Xmp.basefog.", "Xmp.");
  put_roll(whole, analysis);
  put_scan(whole, analysis, analysis.frames[frames[0]].measurement);
  if (frames.size() == 1) {
    put_results(whole, analysis, frames[0], names[frames[0]]);
    if (const log::LogRow* row = sure_row_of(analysis, analysis.frames[frames[0]])) {
      put_settings(whole, *row);
      put_words(whole, *row);
    }
  } else {
    Exiv2::XmpTextValue list("");
    list.setXmpArrayType(Exiv2::XmpValue::xaSeq);
    data.add(Exiv2::XmpKey("Xmp.basefog.Frames"), &list);
    for (std::size_t i = 0; i < frames.size(); ++i) {
      const std::string item = fmt::format("Xmp.basefog.Frames[{}]/", i + 1);
      Properties one(data, item + "basefog:", item);
      put_results(one, analysis, frames[i], names[frames[i]]);
      if (const log::LogRow* row = sure_row_of(analysis, analysis.frames[frames[i]])) {
        put_settings(one, *row);
      }
    }
  }
  std::string packet;
  if (Exiv2::XmpParser::encode(packet, data, Exiv2::XmpParser::omitPacketWrapper) != 0) {
    throw InputError(ErrorCode::not_writable, analysis.frames[frames[0]].measurement.file,
                     "got no sidecar: the XMP writer refused what the log or its name say",
                     "look at its row in the log, or leave the sidecars out");
  }
  return packet;
}

}  // namespace

std::vector<Sidecar> sidecars(const roll::Analysis& analysis) {
  std::vector<std::filesystem::path> files;
  std::map<std::filesystem::path, std::vector<std::size_t>> frames_of;
  std::map<std::filesystem::path, int> scans_of_stem;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const std::filesystem::path& file = analysis.frames[i].measurement.file;
    if (frames_of[file].empty()) {
      files.push_back(file);
      ++scans_of_stem[file.stem()];
    }
    frames_of[file].push_back(i);
  }
  const std::vector<std::string> names = frame_names(analysis);
  constexpr std::size_t kLongest = 240;  // leaves room for ending and number
  std::vector<Sidecar> all;
  for (const std::filesystem::path& file : files) {
    const std::filesystem::path name =
        scans_of_stem[file.stem()] == 1 ? file.stem() : file.filename();
    all.push_back({.scan = file,
                   .file_name = name_within(name.string(), kLongest) + ".xmp",
                   .xmp = packet_for(analysis, frames_of[file], names)});
  }
  return all;
}

std::vector<std::filesystem::path> write_sidecars(const std::filesystem::path& folder,
                                                  const roll::Analysis& analysis) {
  std::vector<std::filesystem::path> written;
  std::map<std::string, int> used;
  for (const Sidecar& sidecar : sidecars(analysis)) {
    // Scans of one name in different folders.
    std::filesystem::path name = sidecar.file_name;
    if (const int before = used[sidecar.file_name]++; before > 0) {
      name = name.stem().string() + fmt::format("_{}.xmp", before + 1);
    }
    write_whole_file(folder / name, sidecar.xmp);
    written.push_back(folder / name);
  }
  return written;
}

SidecarsBeside write_sidecars_beside(const roll::Analysis& analysis) {
  SidecarsBeside result;
  for (const Sidecar& sidecar : sidecars(analysis)) {
    // A scan that is not there, or was read on another machine, has nothing beside it.
    std::error_code error;
    if (!std::filesystem::is_regular_file(sidecar.scan, error)) continue;
    const std::filesystem::path path = sidecar.scan.parent_path() / sidecar.file_name;
    (write_new_file(path, sidecar.xmp) ? result.written : result.kept).push_back(path);
  }
  return result;
}

}  // namespace basefog::report

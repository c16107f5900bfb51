// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_metadata.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <exiv2/exiv2.hpp>
#include <initializer_list>
#include <mutex>
#include <string>
#include <string_view>

#include "basefog/core/limits.hpp"
#include "core/plain_text.hpp"
#include "response/declared_response.hpp"
#include "scan/exiv2_session.hpp"
#include "scan/metadata_size.hpp"

namespace basefog::scan {
namespace {

/// Exif and XMP of one file, with look-ups that insert nothing.
class Tags {
 public:
  Exiv2::ExifData exif;
  Exiv2::XmpData xmp;

  std::string text(std::initializer_list<const char*> keys) const {
    for (const char* key : keys) {
      const Exiv2::Metadatum* datum = find(key);
      if (datum == nullptr || datum->count() == 0) continue;
      std::string value = trimmed(datum->toString());
      if (!value.empty()) return value;
    }
    return "";
  }
  /// A finite number; 0/0 and x/0, which stand for "unknown" and "infinite", are absent. From the
  /// rational, since exiv2's texts follow the locale.
  std::optional<double> number(std::initializer_list<const char*> keys) const {
    for (const char* key : keys) {
      const Exiv2::Metadatum* datum = find(key);
      if (datum == nullptr || datum->count() == 0) continue;
      const Exiv2::Rational value = datum->toRational();
      if (value.second != 0) return static_cast<double>(value.first) / value.second;
    }
    return std::nullopt;
  }
  std::optional<int> integer(std::initializer_list<const char*> keys) const {
    for (const char* key : keys) {
      const Exiv2::Metadatum* datum = find(key);
      if (datum != nullptr && datum->count() > 0) return static_cast<int>(datum->toLong());
    }
    return std::nullopt;
  }
  std::string comment() const {
    const auto found = exif.findKey(Exiv2::ExifKey("Exif.Photo.UserComment"));
    if (found == exif.end()) return text({"Xmp.exif.UserComment"});
    const auto* value = dynamic_cast<const Exiv2::CommentValue*>(&found->value());
    return value != nullptr ? trimmed(value->comment()) : trimmed(found->toString());
  }

 private:
  static std::string trimmed(std::string value) {
    const auto blank = [](char c) { return c == ' ' || c == '\0' || c == '\n' || c == '\r'; };
    while (!value.empty() && blank(value.back())) value.pop_back();
    value.erase(value.begin(), std::find_if_not(value.begin(), value.end(), blank));
    return value;
  }
  const Exiv2::Metadatum* find(const std::string& key) const {
    if (key.starts_with("Exif")) {
      const auto found = exif.findKey(Exiv2::ExifKey(key));
      return found == exif.end() ? nullptr : &*found;
    }
    const auto found = xmp.findKey(Exiv2::XmpKey(key));
    return found == xmp.end() ? nullptr : &*found;
  }
};

Tags read_tags(const std::filesystem::path& path, const decode::Picture& picture) {
  Tags tags;
  if (picture.container == response::ScanFormat::tiff) {  // TIFF and the raws, by their directories
    const auto image = Exiv2::ImageFactory::open(path.string());
    image->readMetadata();
    tags.exif = image->exifData();
    tags.xmp = image->xmpData();
    return tags;
  }
  if (!picture.exif.empty())
    Exiv2::ExifParser::decode(tags.exif, picture.exif.data(),
                              static_cast<std::uint32_t>(picture.exif.size()));
  if (!picture.xmp.empty()) Exiv2::XmpParser::decode(tags.xmp, picture.xmp);
  return tags;
}

/// Words that makers put into the model names of film and flatbed scanners (common practice).
bool names_scanner(const std::string& make_and_model) {
  constexpr std::array kWords = {"scan",    "opticfilm", "flextight", "perfection", "frontier",
                                 "noritsu", "ls-40",     "ls-50",     "ls-80",      "ls-90"};
  const std::string name = lower_case(make_and_model);
  return std::any_of(kWords.begin(), kWords.end(),
                     [&](const char* word) { return name.find(word) != std::string::npos; });
}

/// "2024:05:12 16:30:22" as "2024-05-12T16:30:22"; XMP dates are ISO 8601 already.
std::string iso_date(std::string date) {
  if (date.size() < 10 || date.starts_with("0000")) return "";
  if (date[4] == ':') date[4] = '-';
  if (date[7] == ':') date[7] = '-';
  if (date.size() > 10 && date[10] == ' ') date[10] = 'T';
  return date;
}

/// [Exif, MeteringMode].
std::string metering_name(int mode) {
  switch (mode) {
    case 1:
      return "average";
    case 2:
      return "centre_weighted";
    case 3:
    case 4:
      return "spot";
    case 5:
      return "pattern";
    default:
      return "";
  }
}

std::optional<double> positive(std::optional<double> value) {
  return value && *value > 0 && std::isfinite(*value) ? value : std::nullopt;
}

void take_camera_settings(const Tags& tags, ScanMetadata& scan) {
  scan.shutter_seconds =
      positive(tags.number({"Exif.Photo.ExposureTime", "Xmp.exif.ExposureTime"}));
  scan.f_number = positive(tags.number({"Exif.Photo.FNumber", "Xmp.exif.FNumber"}));
  scan.iso = positive(tags.number({"Exif.Photo.ISOSpeedRatings", "Xmp.exif.ISOSpeedRatings",
                                   "Xmp.exifEX.PhotographicSensitivity"}));
  scan.compensation_stops =
      tags.number({"Exif.Photo.ExposureBiasValue", "Xmp.exif.ExposureBiasValue"});
  scan.focal_length_mm = positive(tags.number({"Exif.Photo.FocalLength", "Xmp.exif.FocalLength"}));
  scan.lens = tags.text({"Exif.Photo.LensModel", "Xmp.aux.Lens"});
  scan.metering =
      metering_name(tags.integer({"Exif.Photo.MeteringMode", "Xmp.exif.MeteringMode"}).value_or(0));
}

std::optional<double> copy_exposure(const Tags& tags) {
  const auto shutter = positive(tags.number({"Exif.Photo.ExposureTime"}));
  const auto aperture = positive(tags.number({"Exif.Photo.FNumber"}));
  const auto iso = positive(tags.number({"Exif.Photo.ISOSpeedRatings"}));
  if (!shutter) return std::nullopt;
  // A lens without contacts writes no aperture; it is then taken as unchanged.
  return *shutter * iso.value_or(100) / (aperture.value_or(1) * aperture.value_or(1));
}

ScanMetadata scan_metadata(const Tags& tags) {
  ScanMetadata scan;
  scan.make = tags.text({"Exif.Image.Make", "Xmp.tiff.Make"});
  scan.model = tags.text({"Exif.Image.Model", "Xmp.tiff.Model", "Exif.Image.UniqueCameraModel"});
  scan.software = tags.text({"Exif.Image.Software", "Xmp.xmp.CreatorTool"});
  scan.comment = tags.comment();
  const int source = tags.integer({"Exif.Photo.FileSource", "Xmp.exif.FileSource"}).value_or(0);
  constexpr int kTransparencyScanner = 1;  // [Exif, FileSource]
  constexpr int kPrintScanner = 2;
  constexpr int kCamera = 3;
  scan.made_by_scanner = source == kTransparencyScanner || source == kPrintScanner ||
                         (source != kCamera && names_scanner(scan.make + ' ' + scan.model));

  const std::string original =
      iso_date(tags.text({"Exif.Photo.DateTimeOriginal", "Xmp.exif.DateTimeOriginal"}));
  const std::string digitized =
      iso_date(tags.text({"Exif.Photo.DateTimeDigitized", "Xmp.exif.DateTimeDigitized"}));
  const std::string changed = iso_date(tags.text({"Exif.Image.DateTime", "Xmp.xmp.ModifyDate"}));
  scan.date = !digitized.empty() ? digitized : changed;
  if (scan.made_by_scanner) {
    if (original != scan.date) scan.original_date = original;
    take_camera_settings(tags, scan);
  } else if (scan.date.empty()) {
    scan.date = original;
  }
  return scan;
}

/// Whether a file's metadata are small enough for the library, which has no limits of its own.
bool within_limits(const std::filesystem::path& path, const decode::Picture& picture) {
  return picture.container == response::ScanFormat::tiff
             ? tiff_metadata_within_limits(path)
             : picture.exif.size() <= limits::kMostMetadataBytes && xmp_within_limits(picture.xmp);
}

}  // namespace

FileMetadata read_metadata(const std::filesystem::path& path, const decode::Picture& picture) {
  // A file takes one to three milliseconds, so they take turns.
  const std::unique_lock session = exiv2_session();
  FileMetadata found;
  found.ignored = !within_limits(path, picture);
  try {
    const Tags tags = found.ignored ? Tags{} : read_tags(path, picture);
    found.scan = scan_metadata(tags);
    const int turn = tags.integer({"Exif.Image.Orientation"}).value_or(0);
    if (turn >= 1 && turn <= 8) found.orientation = turn;
    if (!found.scan.made_by_scanner) found.copy_exposure = copy_exposure(tags);
    found.response = response::response_from_exif(
        tags.integer({"Exif.Photo.ColorSpace", "Xmp.exif.ColorSpace"}),
        tags.text({"Exif.Iop.InteroperabilityIndex"}), tags.number({"Exif.Photo.Gamma"}));
  } catch (const std::exception&) {
    // BigTIFF and the newest raws: exiv2 does not know them. A scan is not refused for its
    // metadata.
  }
  if (found.scan.make.empty()) found.scan.make = picture.make;
  if (found.scan.model.empty()) found.scan.model = picture.model;
  if (found.scan.software.empty()) found.scan.software = picture.software;
  if (found.scan.date.empty()) found.scan.date = iso_date(picture.date);
  return found;
}

}  // namespace basefog::scan

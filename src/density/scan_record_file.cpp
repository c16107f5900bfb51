// SPDX-License-Identifier: GPL-3.0-or-later
// A scan's record as JSON. Each structure names its fields once, for writing and for reading.
#include <algorithm>
#include <array>
#include <cmath>
#include <concepts>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <type_traits>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/core/version.hpp"
#include "basefog/density/scan_record.hpp"
#include "core/base64.hpp"
#include "core/name_list.hpp"
#include "core/text_file.hpp"
#include "density/record_numbers.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

using Json = RecordJson;

constexpr std::string_view kSchema = "basefog.scan/1";

std::span<const std::uint8_t> bytes_of(const std::string& text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// One pair of put and take for each kind of value.

void put(Json& json, bool value) { json = value; }
void put(Json& json, int value) { json = value; }
void put(Json& json, const std::string& value) { json = value; }
void take(const Json& json, bool& value) { value = json.get<bool>(); }
void take(const Json& json, int& value) { value = whole_number<int>(json); }
void take(const Json& json, std::string& value) { value = json.get<std::string>(); }

// JSON has no infinity: null stands for it.
void put(Json& json, double value) {
  if (std::isfinite(value)) json = value;
}
void take(const Json& json, double& value) {
  value = json.is_null() ? std::numeric_limits<double>::infinity() : json.get<double>();
}

void put(Json& json, const std::vector<float>& values) { json = packed(values); }
void put(Json& json, const std::vector<std::uint16_t>& values) { json = packed(values); }
void take(const Json& json, std::vector<float>& values) { unpack(json, values); }
void take(const Json& json, std::vector<std::uint16_t>& values) { unpack(json, values); }

void put(Json& json, Density density) { put(json, density.value()); }
void put(Json& json, DensityDifference density) { put(json, density.value()); }
double number_of(const Json& json) {
  double value = 0;
  take(json, value);
  return value;
}
void take(const Json& json, Density& density) { density = Density::from_value(number_of(json)); }
void take(const Json& json, DensityDifference& density) {
  density = DensityDifference(number_of(json));
}
void take(const Json& json, std::vector<Density>& densities) {
  densities.clear();
  for (const Json& one : json) densities.push_back(Density::from_value(number_of(one)));
}

// A file name may be any bytes; what is no UTF-8 goes as base 64.
void put(Json& json, const fs::path& path) {
  try {
    json = path.native();
    static_cast<void>(json.dump());
  } catch (const Json::type_error&) {
    json = Json{{"base64", base64(bytes_of(path.native()))}};
  }
}
void take(const Json& json, fs::path& path) {
  if (json.is_string()) {
    path = json.get<std::string>();
    return;
  }
  const auto bytes = bytes_of_base64(json.at("base64").get_ref<const std::string&>());
  if (!bytes) throw NotARecord("holds a file name that cannot be read");
  path = std::string(bytes->begin(), bytes->end());
}

// A closed list goes by its names.
template <class E>
requires std::is_enum_v<E>
void put(Json& json, E value) { json = name_of(value); }
template <class E>
requires std::is_enum_v<E>
void take(const Json& json, E& value) {
  const auto& name = json.get_ref<const std::string&>();
  const std::optional<E> known = named<E>(name);
  if (!known) throw NotARecord("holds the word '" + name + "', which this version does not know");
  value = *known;
}

std::string_view name_of(Flag flag) { return text_of(flag).name; }
void put(Json& json, Flag flag) { json = name_of(flag); }
void take(const Json& json, Flag& flag) {
  for (const FlagText& text : all_flags()) {
    if (text.name == json.get_ref<const std::string&>()) {
      flag = text.flag;
      return;
    }
  }
  throw NotARecord("holds the flag '" + json.get<std::string>() +
                   "', which this version does not know");
}
void put(Json& json, FlagSet flags) {
  json = Json::array();
  for (const Flag flag : flags.list()) json.push_back(name_of(flag));
}
void take(const Json& json, FlagSet& flags) {
  flags = {};
  for (const Json& one : json) {
    Flag flag{};
    take(one, flag);
    flags.insert(flag);
  }
}

// Structures: fields() names each member once, for both ways.

template <class T, class Plain>
concept Is = std::same_as<std::remove_const_t<T>, Plain>;

void fields(const auto& way, Is<area::FrameRegion> auto& region) {
  way("centre_x", region.centre_x);
  way("centre_y", region.centre_y);
  way("width", region.width);
  way("height", region.height);
  way("angle_degrees", region.angle_degrees);
}

void fields(const auto& way, Is<ApertureGrid> auto& grid) {
  way("columns", grid.columns);
  way("rows", grid.rows);
  way("channels", grid.channels);
  way("density", grid.density);
  way("sigma", grid.sigma);
  way("clipped", grid.clipped);
  way("floored", grid.floored);
}

void fields(const auto& way, Is<NegativePicture> auto& picture) {
  way("width", picture.width);
  way("height", picture.height);
  way("channels", picture.channels);
  way("millidensity", picture.millidensity);
}

void fields(const auto& way, Is<FilmBase> auto& base) {
  way("kind", base.kind);
  way("density", base.density);
  way("sigma", base.sigma);
  way("flags", base.flags);
}

void fields(const auto& way, Is<response::ResponseSource> auto& source) {
  way("kind", source.kind);
  way("name", source.name);
  way("detail", source.detail);
  way("profile_fault", source.profile_fault);
  way("profile_space", source.profile_space);
}
/// Earlier versions wrote words here.
void take(const Json& json, response::ResponseSource& source);

void fields(const auto& way, Is<response::Response> auto& response) {
  way("kind", response.kind);
  way("gamma", response.gamma);
  way("source", response.source);
  way("relative_sigma", response.relative_sigma);
  way("densest", response.densest);
}

void fields(const auto& way, Is<scan::ScanMetadata> auto& metadata) {
  way("make", metadata.make);
  way("model", metadata.model);
  way("software", metadata.software);
  way("date", metadata.date);
  way("original_date", metadata.original_date);
  way("made_by_scanner", metadata.made_by_scanner);
  way("shutter_seconds", metadata.shutter_seconds);
  way("f_number", metadata.f_number);
  way("iso", metadata.iso);
  way("compensation_stops", metadata.compensation_stops);
  way("focal_length_mm", metadata.focal_length_mm);
  way("lens", metadata.lens);
  way("metering", metadata.metering);
  way("comment", metadata.comment);
}

void fields(const auto& way, Is<FrameMeasurement> auto& frame) {
  way("file", frame.file);
  way("label", frame.label);
  way("index", frame.index);
  way("region", frame.region);
  way("edges_found", frame.edges_found);
  way("apertures", frame.apertures);
  way("rebate", frame.rebate);
  way("densest", frame.densest);
  way("negative", frame.negative);
  way("overview", frame.overview);
  way("response", frame.response);
  way("metadata", frame.metadata);
  way("scan_width", frame.scan_width);
  way("scan_height", frame.scan_height);
  way("bits_per_sample", frame.bits_per_sample);
  way("light_known", frame.light_known);
  way("state", frame.state);
  way("flags", frame.flags);
}

void fields(const auto& way, Is<ScanFailure> auto& failure) {
  way("file", failure.file);
  way("flag", failure.flag);
  way("text", failure.text);
  way("next_step", failure.next_step);
}

void fields(const auto& way, Is<ScanRecord> auto& record) {
  way("file", record.file);
  way("frames", record.frames);
  way("failure", record.failure);
}

struct Putting;
struct Taking;
template <class T>
concept Structure = requires(T& value, const Putting& way) {
  fields(way, value);
};

template <Structure T>
void put(Json& json, const T& value);
template <Structure T>
void take(const Json& json, T& value);

// Absent values are left out, lists are lists.

template <class T>
void put(Json& json, const std::vector<T>& values) {
  json = Json::array();
  for (const T& value : values) put(json.emplace_back(), value);
}
template <class T>
void take(const Json& json, std::vector<T>& values) {
  values.clear();
  for (const Json& one : json) {
    T value{};
    take(one, value);
    values.push_back(std::move(value));
  }
}

struct Putting {
  Json& json;
  template <class T>
  void operator()(const char* key, const T& value) const {
    put(json[key], value);
  }
  template <class T>
  void operator()(const char* key, const std::optional<T>& value) const {
    if (value) put(json[key], *value);
  }
};

struct Taking {
  const Json& json;
  template <class T>
  void operator()(const char* key, T& value) const {
    take(json.at(key), value);
  }
  template <class T>
  void operator()(const char* key, std::optional<T>& value) const {
    if (json.contains(key)) take(json.at(key), value.emplace());
  }
};

template <Structure T>
void put(Json& json, const T& value) {
  json = Json::object();
  fields(Putting{json}, value);
}
template <Structure T>
void take(const Json& json, T& value) {
  fields(Taking{json}, value);
}
void take(const Json& json, response::ResponseSource& source) {
  if (json.is_string()) {
    source = {response::SourceKind::recorded, json.get<std::string>()};
  } else {
    fields(Taking{json}, source);
  }
}

// A record comes from elsewhere: what it says of its sizes must be so before anything relies on it,
// and its numbers must be such as are measured.

/// Whether a picture has the pixels that it claims.
bool fits(const NegativePicture& picture) {
  if (picture.width < 0 || picture.height < 0) return false;
  if (picture.width == 0 || picture.height == 0) return picture.millidensity.empty();
  if (picture.channels != 1 && picture.channels != 3) return false;
  return picture.millidensity.size() ==
         static_cast<std::size_t>(picture.width) * picture.height * picture.channels;
}

bool has_channels(const NegativePicture& picture, int channels) {
  return picture.millidensity.empty() || picture.channels == channels;
}

bool fits(const std::vector<float>& values, std::size_t count, bool may_be_empty) {
  return (values.size() == count || (may_be_empty && values.empty())) &&
         std::all_of(values.begin(), values.end(),
                     [](float value) { return std::isfinite(value); });
}

bool is_spread(double sigma) { return std::isfinite(sigma) && sigma >= 0; }
bool is_size(double value) { return std::isfinite(value) && value > 0; }

/// Spreads, sizes and settings that nothing could have measured.
bool plausible(const FrameMeasurement& frame) {
  const auto finite = [](const auto& density) { return std::isfinite(density.value()); };
  const auto spread = [](const auto& density) { return is_spread(density.value()); };
  const auto setting = [](const std::optional<double>& value) { return !value || is_size(*value); };
  const std::vector<float>& sigma = frame.apertures.sigma;
  const area::FrameRegion& region = frame.region;
  const scan::ScanMetadata& settings = frame.metadata;
  return std::all_of(sigma.begin(), sigma.end(), is_spread) &&
         std::all_of(frame.rebate.density.begin(), frame.rebate.density.end(), finite) &&
         std::all_of(frame.rebate.sigma.begin(), frame.rebate.sigma.end(), spread) &&
         std::none_of(frame.densest.begin(), frame.densest.end(),
                      [](const Density& d) { return std::isnan(d.value()); }) &&
         is_spread(frame.response.relative_sigma) && is_size(frame.response.gamma) &&
         std::isfinite(region.centre_x) && std::isfinite(region.centre_y) &&
         is_size(region.width) && is_size(region.height) && std::isfinite(region.angle_degrees) &&
         frame.index >= 0 && frame.scan_width > 0 && frame.scan_height > 0 &&
         frame.bits_per_sample > 0 && setting(settings.shutter_seconds) &&
         setting(settings.f_number) && setting(settings.iso) && setting(settings.focal_length_mm) &&
         std::isfinite(settings.compensation_stops.value_or(0));
}

bool fits(const FrameMeasurement& frame) {
  const ApertureGrid& grid = frame.apertures;
  const bool measured = frame.state == FrameState::measured;
  if (grid.columns < 0 || grid.rows < 0) return false;
  if (measured && (grid.columns == 0 || grid.rows == 0)) return false;
  if (grid.channels != 1 && grid.channels != 3 && (measured || grid.channels != 0)) return false;
  const auto channels = static_cast<std::size_t>(grid.channels);
  const std::size_t count = channels * grid.rows * grid.columns;
  const FilmBase& base = frame.rebate;
  if (measured && !(has_channels(frame.negative, grid.channels) &&
                    has_channels(frame.overview, grid.channels))) {
    return false;
  }
  return fits(grid.density, count, !measured) && fits(grid.sigma, count, true) &&
         fits(grid.clipped, count, true) && fits(grid.floored, count, true) &&
         (!measured || frame.densest.size() == channels) &&
         base.density.size() == (base.kind == ReferenceKind::none ? 0 : channels) &&
         base.sigma.size() == base.density.size() && fits(frame.negative) && fits(frame.overview);
}

bool fits(const ScanRecord& record) {
  return std::all_of(record.frames.begin(), record.frames.end(),
                     [](const FrameMeasurement& frame) { return fits(frame); });
}

}  // namespace

std::string scan_record_text(const ScanRecord& record) {
  Json json;
  put(json, record);
  Json whole{{"schema", kSchema}, {"program", std::string("basefog ") + kVersion}};
  whole.update(json);
  return whole.dump() + "\n";
}

ScanRecord read_scan_record(const fs::path& path) {
  const std::string text = read_text_file(path, {"a record of a scan", limits::kMostRecordBytes});
  const char* next_step = "make it again with 'basefog read --record'";
  try {
    const Json json = Json::parse(text);
    if (!json.is_object() || json.value("schema", "") != kSchema) {
      throw NotARecord("is no record of a scan as this version writes them");
    }
    refuse_too_many_numbers(json);
    ScanRecord record;
    take(json, record);
    if (!fits(record)) throw NotARecord("is no whole record of a scan");
    if (!std::all_of(record.frames.begin(), record.frames.end(), plausible)) {
      throw NotARecord("holds a size, a spread or a setting that cannot have been measured");
    }
    return record;
  } catch (const NotARecord& problem) {
    throw InputError(ErrorCode::malformed, path, problem.what(), next_step);
  } catch (const Json::exception&) {
    throw InputError(ErrorCode::malformed, path, "is no whole record of a scan", next_step);
  }
}

}  // namespace basefog::density

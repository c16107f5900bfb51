// SPDX-License-Identifier: GPL-3.0-or-later
// A scan's record as JSON.
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
#include "density/record_checks.hpp"
#include "density/record_fields.hpp"
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
void put(Json& json, std::uint32_t value) { json = value; }
void put(Json& json, std::uint64_t value) { json = value; }
void put(Json& json, const std::string& value) { json = value; }
void take(const Json& json, bool& value) { value = json.get<bool>(); }
void take(const Json& json, int& value) { value = whole_number<int>(json); }
void take(const Json& json, std::uint32_t& value) { value = whole_number<std::uint32_t>(json); }
void take(const Json& json, std::uint64_t& value) { value = whole_number<std::uint64_t>(json); }
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

/// Earlier versions wrote words here.
void take(const Json& json, response::ResponseSource& source);

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
    if (!is_whole(record)) throw NotARecord("is no whole record of a scan");
    if (!is_plausible(record)) {
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

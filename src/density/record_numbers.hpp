// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers in the record of a scan: whole ones, and arrays that are packed.
#pragma once

#include <cstdint>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <utility>
#include <vector>

namespace basefog::density {

using RecordJson = nlohmann::ordered_json;

/// Thrown for a text that is no record; becomes an InputError with the file's name.
struct NotARecord : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Throws NotARecord for a fraction, and for what the type cannot hold.
template <class T>
T whole_number(const RecordJson& json) {
  if (!json.is_number_integer()) throw NotARecord("is no whole record of a scan");
  const auto value = json.get<std::int64_t>();
  if (!std::in_range<T>(value)) throw NotARecord("is no whole record of a scan");
  return static_cast<T>(value);
}

/// An array as its count and its bytes, deflated, in base 64.
RecordJson packed(const std::vector<float>& values);
RecordJson packed(const std::vector<std::uint16_t>& values);

/// Throws NotARecord where they cannot be unpacked.
void unpack(const RecordJson& json, std::vector<float>& values);
void unpack(const RecordJson& json, std::vector<std::uint16_t>& values);

/// Packed numbers take a thousandth of their room: counted before any is unpacked. Throws
/// NotARecord above limits::kMostRecordNumbers.
void refuse_too_many_numbers(const RecordJson& whole);

}  // namespace basefog::density

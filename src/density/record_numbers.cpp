// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/record_numbers.hpp"

#include <zlib.h>

#include <bit>
#include <new>
#include <string>

#include "basefog/core/limits.hpp"
#include "core/base64.hpp"

namespace basefog::density {
namespace {

static_assert(std::endian::native == std::endian::little, "packed numbers are little-endian");

// Numbers are deflated with the first bytes of all of them first, so that like stands beside like.

template <class T>
RecordJson packed_numbers(const std::vector<T>& values) {
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(values.data());
  std::vector<std::uint8_t> planes(values.size() * sizeof(T));
  for (std::size_t i = 0; i < planes.size(); ++i) {
    planes[i] = bytes[i % values.size() * sizeof(T) + i / values.size()];
  }
  uLongf size = compressBound(planes.size());
  std::vector<std::uint8_t> deflated(size);
  if (compress2(deflated.data(), &size, planes.data(), planes.size(), Z_BEST_SPEED) != Z_OK) {
    throw std::bad_alloc();
  }
  deflated.resize(size);
  return {{"count", values.size()}, {"deflated", base64(deflated)}};
}

template <class T>
void unpack_numbers(const RecordJson& json, std::vector<T>& values) {
  const std::size_t count = whole_number<std::size_t>(json.at("count"));
  const auto deflated = bytes_of_base64(json.at("deflated").get_ref<const std::string&>());
  std::vector<std::uint8_t> planes(count * sizeof(T));
  uLongf size = planes.size();
  std::uint8_t none = 0;
  if (!deflated ||
      uncompress(planes.empty() ? &none : planes.data(), &size, deflated->data(),
                 deflated->size()) != Z_OK ||
      size != planes.size()) {
    throw NotARecord("holds numbers that cannot be unpacked");
  }
  values.resize(count);
  auto* bytes = reinterpret_cast<std::uint8_t*>(values.data());
  for (std::size_t i = 0; i < planes.size(); ++i) {
    bytes[i % count * sizeof(T) + i / count] = planes[i];
  }
}

}  // namespace

RecordJson packed(const std::vector<float>& values) { return packed_numbers(values); }
RecordJson packed(const std::vector<std::uint16_t>& values) { return packed_numbers(values); }

void unpack(const RecordJson& json, std::vector<float>& values) { unpack_numbers(json, values); }
void unpack(const RecordJson& json, std::vector<std::uint16_t>& values) {
  unpack_numbers(json, values);
}

void refuse_too_many_numbers(const RecordJson& whole) {
  std::size_t left = limits::kMostRecordNumbers;
  std::vector<const RecordJson*> open{&whole};  // not by recursion, however deep the text nests
  while (!open.empty()) {
    const RecordJson& json = *open.back();
    open.pop_back();
    if (json.is_object() && json.contains("deflated")) {
      const std::size_t count = whole_number<std::size_t>(json.at("count"));
      if (count > left) {
        throw NotARecord("holds more numbers than any scan has, over the limit of " +
                         std::to_string(limits::kMostRecordNumbers / 1'000'000) +
                         " million numbers");
      }
      left -= count;
    }
    if (json.is_structured()) {
      for (const RecordJson& part : json) open.push_back(&part);
    }
  }
}

}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
// Values one after another as bytes, for the same program to read back; fields() says of what each
// consists.
#pragma once

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "basefog/density/scan_record.hpp"
#include "density/record_fields.hpp"

namespace basefog::density {

/// Thrown for bytes that are not what they should be.
struct Damaged {};

template <class T>
concept Plain = std::is_arithmetic_v<T> || std::is_enum_v<T>;

/// Writes values one after another; pictures are set aside, so that a sheet's overview, which all
/// its frames have, stands once.
class Writer {
  struct Putting {
    Writer& writer;
    void operator()(const char*, const auto& value) const { writer.put(value); }
  };

 public:
  std::string bytes;
  std::vector<const NegativePicture*> pictures;

  template <Plain T>
  void put(T value) {
    bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  void put(const std::string& value) { put_all(value.data(), value.size()); }
  void put(const std::filesystem::path&) {}
  void put(Density density) { put(density.value()); }
  void put(DensityDifference density) { put(density.value()); }
  void put(const FlagSet& flags) { put(flags.list()); }
  void put(const NegativePicture& picture) {
    const auto same = std::ranges::find_if(pictures, [&picture](const NegativePicture* other) {
      return other->width == picture.width && other->height == picture.height &&
             other->channels == picture.channels && other->millidensity == picture.millidensity;
    });
    put(static_cast<std::uint32_t>(same - pictures.begin()));
    if (same == pictures.end()) pictures.push_back(&picture);
  }
  /// The picture itself, here.
  void put_whole(const NegativePicture& picture) { fields(Putting{*this}, picture); }
  /// With its curves, which the frames of one scan share.
  void put(const response::Response& response) {
    fields(Putting{*this}, response);
    const bool again = response.curves == curves_;
    put(again);
    if (again) return;
    curves_ = response.curves;
    put(curves_ ? *curves_ : response::ResponseCurves());
  }
  template <class T>
  void put(const std::optional<T>& value) {
    put(value.has_value());
    if (value) put(*value);
  }
  template <class T>
  void put(const std::vector<T>& values) {
    if constexpr (Plain<T>) {
      put_all(values.data(), values.size());
    } else {
      put(static_cast<std::uint32_t>(values.size()));
      for (const T& value : values) put(value);
    }
  }
  template <class T>
  requires std::is_class_v<T>
  void put(const T& value) { fields(Putting{*this}, value); }

 private:
  template <class T>
  void put_all(const T* values, std::size_t count) {
    put(static_cast<std::uint32_t>(count));
    bytes.append(reinterpret_cast<const char*>(values), count * sizeof(T));
  }

  std::shared_ptr<const response::ResponseCurves> curves_;
};

/// Reads values back, each within the bytes that there are. Throws Damaged.
class Reader {
  struct Taking {
    Reader& reader;
    void operator()(const char*, auto& value) const { reader.take(value); }
  };

 public:
  explicit Reader(std::string_view bytes, std::span<const NegativePicture> pictures = {})
      : left_(bytes), pictures_(pictures) {}

  std::string_view next(std::size_t size) {
    if (size > left_.size()) throw Damaged();
    const std::string_view bytes = left_.substr(0, size);
    left_.remove_prefix(size);
    return bytes;
  }

  template <Plain T>
  void take(T& value) {
    if constexpr (std::is_same_v<T, bool>) {
      value = next(1)[0] != 0;
    } else {
      std::memcpy(&value, next(sizeof value).data(), sizeof value);
    }
    if constexpr (requires { last_of(value); }) {
      if (value < T{} || value > last_of(value)) throw Damaged();
    }
  }
  template <Plain T>
  T number() {
    T value{};
    take(value);
    return value;
  }
  void take(std::string& value) { value = next(number<std::uint32_t>()); }
  void take(std::filesystem::path&) {}
  void take(Density& density) { density = Density::from_value(number<double>()); }
  void take(DensityDifference& density) { density = DensityDifference(number<double>()); }
  void take(std::vector<Density>& densities) {
    for (auto left = number<std::uint32_t>(); left > 0; --left) {
      densities.push_back(Density::from_value(number<double>()));
    }
  }
  void take(FlagSet& flags) {
    for (std::uint32_t left = number<std::uint32_t>(); left > 0; --left) {
      const Flag flag = number<Flag>();
      if (static_cast<std::size_t>(flag) >= all_flags().size()) throw Damaged();
      flags.insert(flag);
    }
  }
  void take(NegativePicture& picture) {
    const std::uint32_t place = number<std::uint32_t>();
    if (place >= pictures_.size()) throw Damaged();
    picture = pictures_[place];
  }
  NegativePicture whole_picture() {
    NegativePicture picture;
    fields(Taking{*this}, picture);
    return picture;
  }
  void take(response::Response& response) {
    fields(Taking{*this}, response);
    if (!number<bool>()) {
      response::ResponseCurves curves;
      take(curves);
      curves_ =
          curves.empty() ? nullptr : std::make_shared<response::ResponseCurves>(std::move(curves));
    }
    response.curves = curves_;
  }
  template <class T>
  void take(std::optional<T>& value) {
    if (number<bool>()) take(value.emplace());
  }
  template <class T>
  void take(std::vector<T>& values) {
    const std::uint32_t count = number<std::uint32_t>();
    if constexpr (Plain<T>) {
      const std::string_view bytes = next(std::size_t{count} * sizeof(T));
      values.resize(count);
      if (count > 0) std::memcpy(values.data(), bytes.data(), bytes.size());
    } else {
      for (std::uint32_t i = 0; i < count; ++i) take(values.emplace_back());
    }
  }
  template <class T>
  requires std::is_class_v<T>
  void take(T& value) { fields(Taking{*this}, value); }

 private:
  std::string_view left_;
  std::span<const NegativePicture> pictures_;
  std::shared_ptr<const response::ResponseCurves> curves_;
};

}  // namespace basefog::density

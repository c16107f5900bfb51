// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/record_bytes.hpp"

#include <zlib.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <memory>
#include <new>
#include <span>
#include <type_traits>
#include <utility>
#include <vector>

#include "basefog/core/limits.hpp"
#include "density/record_checks.hpp"
#include "density/record_fields.hpp"

namespace basefog::density {
namespace {

constexpr std::string_view kMagic = "basefog kept scan\n";

/// Thrown for bytes that are no record.
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

std::uint32_t checksum(std::string_view bytes) {
  return static_cast<std::uint32_t>(
      crc32_z(0, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size()));
}

std::string deflated(const std::string& plain) {
  uLongf size = compressBound(plain.size());
  std::string packed(size, '\0');
  if (compress2(reinterpret_cast<Bytef*>(packed.data()), &size,
                reinterpret_cast<const Bytef*>(plain.data()), plain.size(), Z_BEST_SPEED) != Z_OK) {
    throw std::bad_alloc();
  }
  packed.resize(size);
  return packed;
}

std::string inflated(std::string_view packed, std::uint32_t plain_size) {
  // Deflate packs at most to a thousandth.
  if (plain_size / 1032 > packed.size()) throw Damaged();
  std::string plain(plain_size, '\0');
  uLongf size = plain_size;
  if (uncompress(reinterpret_cast<Bytef*>(plain.data()), &size,
                 reinterpret_cast<const Bytef*>(packed.data()), packed.size()) != Z_OK ||
      size != plain_size) {
    throw Damaged();
  }
  return plain;
}

void put_picture(Writer& out, const NegativePicture& picture) {
  out.put(picture.width);
  out.put(picture.height);
  out.put(picture.channels);
  out.put(picture.millidensity);
}

NegativePicture taken_picture(Reader& in) {
  NegativePicture picture;
  in.take(picture.width);
  in.take(picture.height);
  in.take(picture.channels);
  in.take(picture.millidensity);
  return picture;
}

}  // namespace

std::string record_bytes(const ScanRecord& record, std::string_view key) {
  Writer numbers;
  numbers.put(record.finding);
  numbers.put(record.frames);
  Writer body;
  body.put(std::string(key));
  body.put(static_cast<std::uint32_t>(numbers.bytes.size()));
  body.put(deflated(numbers.bytes));
  body.put(static_cast<std::uint32_t>(numbers.pictures.size()));
  for (const NegativePicture* picture : numbers.pictures) put_picture(body, *picture);
  Writer whole;
  whole.bytes = kMagic;
  whole.put(checksum(body.bytes));
  whole.bytes += body.bytes;
  return std::move(whole.bytes);
}

std::optional<ScanRecord> record_of_bytes(std::string_view bytes, std::string_view key) try {
  if (!bytes.starts_with(kMagic)) return std::nullopt;
  Reader head(bytes.substr(kMagic.size()));
  const auto sum = head.number<std::uint32_t>();
  const std::string_view rest = bytes.substr(kMagic.size() + sizeof sum);
  if (sum != checksum(rest)) return std::nullopt;
  Reader body(rest);
  if (body.next(body.number<std::uint32_t>()) != key) return std::nullopt;
  const auto plain_size = body.number<std::uint32_t>();
  const std::string numbers = inflated(body.next(body.number<std::uint32_t>()), plain_size);
  std::vector<NegativePicture> pictures;
  for (auto left = body.number<std::uint32_t>(); left > 0; --left) {
    pictures.push_back(taken_picture(body));
  }
  Reader reader(numbers, pictures);
  ScanRecord record;
  reader.take(record.finding);
  reader.take(record.frames);
  if (!is_whole(record) || !is_plausible(record)) return std::nullopt;
  return record;
} catch (const Damaged&) {
  return std::nullopt;
}

}  // namespace basefog::density

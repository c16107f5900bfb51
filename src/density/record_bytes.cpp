// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/record_bytes.hpp"

#include <zlib.h>

#include <cstdint>
#include <new>
#include <utility>
#include <vector>

#include "density/plain_bytes.hpp"
#include "density/record_checks.hpp"

namespace basefog::density {
namespace {

constexpr std::string_view kMagic = "basefog kept scan\n";

std::uint32_t checksum(std::string_view bytes) {
  return static_cast<std::uint32_t>(
      crc32_z(0, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size()));
}

std::string deflated(const std::string& plain, int effort) {
  uLongf size = compressBound(plain.size());
  std::string packed(size, '\0');
  if (compress2(reinterpret_cast<Bytef*>(packed.data()), &size,
                reinterpret_cast<const Bytef*>(plain.data()), plain.size(), effort) != Z_OK) {
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

}  // namespace

std::string record_bytes(const ScanRecord& record, std::string_view key, Packing packing) {
  Writer numbers;
  numbers.put(record.finding);
  numbers.put(record.frames);
  Writer body;
  body.put(std::string(key));
  body.put(static_cast<std::uint32_t>(numbers.bytes.size()));
  body.put(deflated(numbers.bytes, packing == Packing::small ? Z_BEST_SPEED : Z_NO_COMPRESSION));
  body.put(static_cast<std::uint32_t>(numbers.pictures.size()));
  for (const NegativePicture* picture : numbers.pictures) body.put_whole(*picture);
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
    pictures.push_back(body.whole_picture());
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

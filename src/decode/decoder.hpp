// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>
#include <string_view>

#include "basefog/core/limits.hpp"
#include "decode/block_accumulator.hpp"
#include "decode/picture.hpp"

namespace basefog::decode {

/// An open scan file. One object is used by one thread; different objects by different threads.
class Decoder {
 public:
  Decoder() = default;
  Decoder(const Decoder&) = delete;
  Decoder& operator=(const Decoder&) = delete;
  virtual ~Decoder() = default;

  virtual const Picture& picture() const = 0;
  /// Hands the rows over, top stored row first, and stops at the first that is missing or damaged.
  virtual void decode(BlockAccumulator& rows) = 0;
  /// What stopped decode(), in the library's words; empty if nothing did.
  virtual std::string damage() const = 0;
};

/// Throws InputError (unreadable) for a picture that claims more pixels than any scan has.
void refuse_too_many_pixels(const std::filesystem::path& path, std::uint64_t width,
                            std::uint64_t height, std::uint64_t most = limits::kMostPixels);

/// Endings of files that are taken from a folder as scans, in small letters.
std::span<const std::string_view> scan_endings();

/// Opens a scan by its content, whatever its name. Throws InputError.
std::unique_ptr<Decoder> open_scan(const std::filesystem::path& path);

}  // namespace basefog::decode

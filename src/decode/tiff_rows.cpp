// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/tiff_rows.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"

namespace basefog::decode {
namespace {

/// Compressed strips above this are read by scanline, which libtiff does a third slower but without
/// holding the decoded strip.
constexpr std::uint64_t kLargeStrip = 32 * limits::kMebibyte;

}  // namespace

TiffRows::TiffRows(const TiffFile& file, const TiffPage& page, int planes)
    : file_(file), page_(page), width_(page.width), height_(page.height), planes_(planes) {
  TIFF* tiff = file.handle();
  tiled_ = TIFFIsTiled(tiff) != 0;
  std::uint64_t band_bytes = 0;
  if (tiled_) {
    const auto tile_width = file.tag<std::uint32_t>(TIFFTAG_TILEWIDTH).value_or(0);
    band_rows_ = file.tag<std::uint32_t>(TIFFTAG_TILELENGTH).value_or(0);
    const std::uint64_t tile_bytes = TIFFTileSize64(tiff);
    if (tile_width == 0 || band_rows_ == 0 || tile_bytes == 0 ||
        tile_bytes > limits::kMostHeldBytes)
      throw InputError(ErrorCode::unreadable, file.path(), "has impossible tiles",
                       "save it again with ordinary tiles or strips");
    pieces_ = static_cast<int>((static_cast<std::uint64_t>(width_) + tile_width - 1) / tile_width);
    piece_width_ = static_cast<int>(std::min<std::uint32_t>(tile_width, width_));
    piece_bytes_ = tile_bytes;
    row_bytes_ = TIFFTileRowSize64(tiff);
    band_bytes = piece_bytes_ * pieces_;
  } else {
    piece_width_ = static_cast<int>(width_);
    band_rows_ = std::min(file.tag<std::uint32_t>(TIFFTAG_ROWSPERSTRIP).value_or(height_), height_);
    row_bytes_ = TIFFScanlineSize64(tiff);
    band_bytes = TIFFVStripSize64(tiff, band_rows_);
    if (planes == 1 && page.compression != COMPRESSION_NONE && band_bytes > kLargeStrip) {
      by_scanline_ = true;
      band_rows_ = 1;
      band_bytes = row_bytes_;
    }
  }
  if (band_rows_ == 0 || row_bytes_ == 0 || band_bytes == 0 ||
      band_bytes * planes > limits::kMostHeldBytes)
    throw InputError(ErrorCode::unreadable, file.path(),
                     "claims strips or tiles of " + std::to_string(band_bytes / limits::kMebibyte) +
                         " MiB, over the limit of " +
                         std::to_string(limits::kMostHeldBytes / limits::kMebibyte) + " MiB",
                     "save it again with ordinary strips");
  // Left uninitialised: rows that are never read cost no memory.
  for (int plane = 0; plane < planes; ++plane)
    bands_.push_back(std::make_unique_for_overwrite<std::byte[]>(band_bytes));
}

int TiffRows::columns(int piece) const {
  return std::min(piece_width_, static_cast<int>(width_) - first_column(piece));
}

bool TiffRows::next() {
  if (y_ >= height_) return false;
  rows_ = static_cast<int>(std::min(band_rows_, height_ - y_));
  const bool read = tiled_ ? read_tiles() : by_scanline_ ? read_scanline() : read_strip();
  const bool rescued = !read && !tiled_ && read_start_of_strip();
  y_ = rescued ? height_ : y_ + rows_;
  return read || rescued;
}

bool TiffRows::read_strip() {
  const auto bytes = static_cast<tmsize_t>(TIFFVStripSize64(file_.handle(), rows_));
  for (int plane = 0; plane < planes_; ++plane) {
    const std::uint32_t strip =
        TIFFComputeStrip(file_.handle(), y_, static_cast<std::uint16_t>(plane));
    if (TIFFReadEncodedStrip(file_.handle(), strip, bands_[plane].get(), bytes) != bytes)
      return false;
  }
  return true;
}

/// The whole rows of an uncompressed strip that the end of the file cuts through.
bool TiffRows::read_start_of_strip() {
  if (page_.compression != COMPRESSION_NONE || planes_ > 1) return false;
  const std::uint32_t strip = TIFFComputeStrip(file_.handle(), y_, 0);
  const std::uint64_t offset = TIFFGetStrileOffset(file_.handle(), strip);
  std::error_code no_size;
  const std::uint64_t size = std::filesystem::file_size(file_.path(), no_size);
  if (no_size || offset == 0 || offset >= size) return false;
  rows_ = static_cast<int>(std::min<std::uint64_t>(rows_, (size - offset) / row_bytes_));
  const auto bytes = static_cast<tmsize_t>(rows_ * row_bytes_);
  std::byte* to = bands_[0].get();
  if (rows_ == 0 || TIFFReadRawStrip(file_.handle(), strip, to, bytes) != bytes) return false;
  if (TIFFIsByteSwapped(file_.handle()) == 0 || page_.bits == 8) return true;
  const tmsize_t samples = bytes / (page_.bits / 8);
  if (page_.bits == 16) TIFFSwabArrayOfShort(reinterpret_cast<std::uint16_t*>(to), samples);
  if (page_.bits == 32) TIFFSwabArrayOfLong(reinterpret_cast<std::uint32_t*>(to), samples);
  if (page_.bits == 64) TIFFSwabArrayOfLong8(reinterpret_cast<std::uint64_t*>(to), samples);
  return true;
}

bool TiffRows::read_tiles() {
  const auto bytes = static_cast<tmsize_t>(piece_bytes_);
  for (int plane = 0; plane < planes_; ++plane) {
    for (int piece = 0; piece < pieces_; ++piece) {
      const std::uint32_t tile =
          TIFFComputeTile(file_.handle(), static_cast<std::uint32_t>(first_column(piece)), y_, 0,
                          static_cast<std::uint16_t>(plane));
      std::byte* to = bands_[plane].get() + piece * piece_bytes_;
      if (TIFFReadEncodedTile(file_.handle(), tile, to, bytes) != bytes) return false;
    }
  }
  return true;
}

bool TiffRows::read_scanline() {
  return TIFFReadScanline(file_.handle(), bands_[0].get(), y_, 0) == 1;
}

}  // namespace basefog::decode

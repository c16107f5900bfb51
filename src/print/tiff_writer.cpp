// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/tiff_writer.hpp"

#include <tiffio.h>

#include <algorithm>
#include <cstring>
#include <memory>
#include <stdexcept>

namespace basefog::print {
namespace {

/// A file in memory, as libtiff's client interface wants it.
struct MemoryFile {
  std::string bytes;
  std::size_t place = 0;
};

tmsize_t read_bytes(thandle_t handle, void* to, tmsize_t count) {
  auto& file = *static_cast<MemoryFile*>(handle);
  const std::size_t left = file.bytes.size() - std::min(file.place, file.bytes.size());
  const std::size_t taken = std::min(static_cast<std::size_t>(count), left);
  std::memcpy(to, file.bytes.data() + file.place, taken);
  file.place += taken;
  return static_cast<tmsize_t>(taken);
}

tmsize_t write_bytes(thandle_t handle, void* from, tmsize_t count) {
  auto& file = *static_cast<MemoryFile*>(handle);
  const std::size_t end = file.place + static_cast<std::size_t>(count);
  if (end > file.bytes.size()) file.bytes.resize(end);
  std::memcpy(file.bytes.data() + file.place, from, static_cast<std::size_t>(count));
  file.place = end;
  return count;
}

toff_t seek(thandle_t handle, toff_t offset, int whence) {
  auto& file = *static_cast<MemoryFile*>(handle);
  const std::size_t from = whence == SEEK_CUR   ? file.place
                           : whence == SEEK_END ? file.bytes.size()
                                                : 0;
  file.place = from + static_cast<std::size_t>(offset);
  return file.place;
}

int close(thandle_t) { return 0; }

toff_t size(thandle_t handle) { return static_cast<MemoryFile*>(handle)->bytes.size(); }

void set_fields(TIFF* tiff, const DeepPositive& picture, std::span<const std::uint8_t> profile,
                const std::string& description) {
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, static_cast<std::uint32_t>(picture.width));
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, static_cast<std::uint32_t>(picture.height));
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, static_cast<std::uint16_t>(picture.channels));
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, std::uint16_t{16});
  const int photometric = picture.channels == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB;
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, static_cast<std::uint16_t>(photometric));
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, std::uint16_t{PLANARCONFIG_CONTIG});
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, std::uint16_t{ORIENTATION_TOPLEFT});
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, std::uint16_t{COMPRESSION_ADOBE_DEFLATE});
  TIFFSetField(tiff, TIFFTAG_PREDICTOR, std::uint16_t{PREDICTOR_HORIZONTAL});
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, TIFFDefaultStripSize(tiff, 0));
  TIFFSetField(tiff, TIFFTAG_SOFTWARE, "basefog");
  if (!description.empty()) TIFFSetField(tiff, TIFFTAG_IMAGEDESCRIPTION, description.c_str());
  if (!profile.empty()) {
    TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(profile.size()),
                 profile.data());
  }
}

}  // namespace

std::string encode_tiff(const DeepPositive& picture, std::span<const std::uint8_t> profile,
                        const std::string& description) {
  MemoryFile file;
  {
    const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(
        TIFFClientOpen("proof", "wm", &file, read_bytes, write_bytes, seek, close, size, nullptr,
                       nullptr),
        TIFFClose);
    if (!tiff) throw std::runtime_error("TIFF encoder: no memory");
    set_fields(tiff.get(), picture, profile, description);
    const std::size_t stride = static_cast<std::size_t>(picture.width) * picture.channels;
    for (int y = 0; y < picture.height; ++y) {
      auto* row = const_cast<std::uint16_t*>(picture.samples.data() + stride * y);
      if (TIFFWriteScanline(tiff.get(), row, static_cast<std::uint32_t>(y), 0) != 1) {
        throw std::runtime_error("TIFF encoder: a row was refused");
      }
    }
  }  // TIFFClose writes the directory
  return std::move(file.bytes);
}

}  // namespace basefog::print

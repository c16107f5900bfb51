// SPDX-License-Identifier: GPL-3.0-or-later
#include "makers/dng_writer.hpp"

#include <gtest/gtest.h>
#include <tiffio.h>

#include <algorithm>

#include "test_folder.hpp"

namespace basefog::test {
namespace {

constexpr int kLinearRaw = 34892;

void set_camera_tags(TIFF* tiff, const DngLayout& layout) {
  constexpr std::uint8_t kVersion[] = {1, 4, 0, 0};
  constexpr float kMatrix[] = {1, 0, 0, 0, 1, 0, 0, 0, 1};
  constexpr float kNeutral[] = {1, 1, 1};
  TIFFSetField(tiff, TIFFTAG_MAKE, "Invented");
  TIFFSetField(tiff, TIFFTAG_MODEL, "Copy stand");
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, layout.orientation);
  TIFFSetField(tiff, TIFFTAG_DNGVERSION, kVersion);
  TIFFSetField(tiff, TIFFTAG_DNGBACKWARDVERSION, kVersion);
  TIFFSetField(tiff, TIFFTAG_UNIQUECAMERAMODEL, "Invented Copy stand");
  TIFFSetField(tiff, TIFFTAG_COLORMATRIX1, 9, kMatrix);
  TIFFSetField(tiff, TIFFTAG_ASSHOTNEUTRAL, 3, kNeutral);
  TIFFSetField(tiff, TIFFTAG_CALIBRATIONILLUMINANT1, 21);
}

void set_raw_tags(TIFF* tiff, const DngLayout& layout) {
  constexpr std::uint16_t kPattern[] = {2, 2};
  constexpr std::uint8_t kColours[] = {0, 1, 1, 2};
  constexpr std::uint8_t kPlanes[] = {0, 1, 2};
  TIFFSetField(tiff, TIFFTAG_SUBFILETYPE, 0);
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, layout.width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, layout.height);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, layout.samples);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, layout.linear ? kLinearRaw : PHOTOMETRIC_CFA);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG,
               layout.planar ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, layout.compression);
  if (!layout.linear) {
    TIFFSetField(tiff, TIFFTAG_CFAREPEATPATTERNDIM, kPattern);
    TIFFSetField(tiff, TIFFTAG_CFAPATTERN, 4, kColours);
    TIFFSetField(tiff, TIFFTAG_CFAPLANECOLOR, 3, kPlanes);
    TIFFSetField(tiff, TIFFTAG_CFALAYOUT, 1);
  }
  const std::vector<float> black(layout.samples, layout.black);
  const std::vector<std::uint32_t> white(layout.samples, layout.white);
  TIFFSetField(tiff, TIFFTAG_BLACKLEVEL, layout.samples, black.data());
  TIFFSetField(tiff, TIFFTAG_WHITELEVEL, layout.samples, white.data());
}

void write_thumbnail(TIFF* tiff, const DngLayout& layout) {
  constexpr int kSide = 8;
  TIFFSetField(tiff, TIFFTAG_SUBFILETYPE, FILETYPE_REDUCEDIMAGE);
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, kSide);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, kSide);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 8);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 3);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  set_camera_tags(tiff, layout);
  const std::uint64_t offset = 0;
  TIFFSetField(tiff, TIFFTAG_SUBIFD, 1, &offset);
  std::vector<std::uint8_t> row(kSide * 3, 100);
  for (int y = 0; y < kSide; ++y) TIFFWriteScanline(tiff, row.data(), y, 0);
  TIFFWriteDirectory(tiff);
}

void write_tiles(TIFF* tiff, const DngLayout& layout, const std::vector<std::uint16_t>& codes) {
  TIFFSetField(tiff, TIFFTAG_TILEWIDTH, layout.tile);
  TIFFSetField(tiff, TIFFTAG_TILELENGTH, layout.tile);
  const int planes = layout.planar ? layout.samples : 1;
  const int depth = layout.planar ? 1 : layout.samples;
  std::vector<std::uint16_t> tile(static_cast<std::size_t>(layout.tile) * layout.tile * depth);
  for (int plane = 0; plane < planes; ++plane) {
    for (int y = 0; y < layout.height; y += layout.tile) {
      for (int x = 0; x < layout.width; x += layout.tile) {
        for (int r = 0; r < std::min(layout.tile, layout.height - y); ++r) {
          for (int c = 0; c < std::min(layout.tile, layout.width - x); ++c) {
            for (int d = 0; d < depth; ++d)
              tile[(static_cast<std::size_t>(r) * layout.tile + c) * depth + d] =
                  codes[(static_cast<std::size_t>(y + r) * layout.width + x + c) * layout.samples +
                        plane + d];
          }
        }
        TIFFWriteTile(tiff, tile.data(), x, y, 0, static_cast<std::uint16_t>(plane));
      }
    }
  }
}

void write_strips(TIFF* tiff, const DngLayout& layout, const std::vector<std::uint16_t>& codes) {
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 16);
  const int planes = layout.planar ? layout.samples : 1;
  const int depth = layout.planar ? 1 : layout.samples;
  std::vector<std::uint16_t> row(static_cast<std::size_t>(layout.width) * depth);
  for (int plane = 0; plane < planes; ++plane) {
    for (int y = 0; y < layout.height; ++y) {
      for (int i = 0; i < layout.width * depth; ++i)
        row[i] = codes[(static_cast<std::size_t>(y) * layout.width + i / depth) * layout.samples +
                       plane + i % depth];
      TIFFWriteScanline(tiff, row.data(), y, static_cast<std::uint16_t>(plane));
    }
  }
}

}  // namespace

std::string write_dng(const std::string& name, const DngLayout& layout,
                      const std::vector<std::uint16_t>& codes) {
  std::string path = test_folder() / (name + ".dng");
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  if (layout.thumbnail)
    write_thumbnail(tiff, layout);
  else
    set_camera_tags(tiff, layout);
  set_raw_tags(tiff, layout);
  if (layout.tile > 0)
    write_tiles(tiff, layout, codes);
  else
    write_strips(tiff, layout, codes);
  TIFFClose(tiff);
  return path;
}

}  // namespace basefog::test

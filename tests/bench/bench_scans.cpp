// SPDX-License-Identifier: GPL-3.0-or-later
// Writes one large synthetic scan of a colour negative: bench_scans KIND WIDTH HEIGHT FILE.
// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on

#include <png.h>
#include <tiffio.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <iostream>
#include <string>
#include <string_view>
#include <vector>

#include "bench/lossless_jpeg.hpp"

namespace {

struct Size {
  int width;
  int height;
};

/// A row of 16-bit codes of gamma 2.2: an orange base, large soft shapes with rebate around them,
/// grain that neighbouring pixels share, and read noise.
class NegativeRows {
 public:
  NegativeRows(Size size, int channels, bool rebate = true)
      : size_(size), channels_(channels), margin_(rebate ? size.height / 30 : 0) {}

  std::vector<std::uint16_t> row(int y) {
    std::vector<std::uint16_t> out(static_cast<std::size_t>(size_.width) * channels_);
    double grain = 0;
    for (int x = 0; x < size_.width; ++x) {
      const double u = 6.0 * x / size_.width;
      const double v = 4.0 * y / size_.height;
      const bool frame = std::min({x, y, size_.width - 1 - x, size_.height - 1 - y}) >= margin_;
      const double density =
          frame ? 0.9 + 0.5 * std::sin(u + 0.7 * std::sin(v)) * std::cos(1.3 * v) : 0;
      grain = 0.7 * grain + 0.012 * noise();
      for (int c = 0; c < channels_; ++c) {
        const double base = 0.2 + 0.22 * c;
        const double light = std::pow(10.0, -(base + density + grain + 0.004 * noise()));
        out[static_cast<std::size_t>(x) * channels_ + c] =
            static_cast<std::uint16_t>(65535 * std::pow(std::min(light, 1.0), 1 / 2.2));
      }
    }
    return out;
  }

 private:
  double noise() {  // uniform, variance 1
    state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
    return (static_cast<double>(state_ >> 40) / (1 << 24) - 0.5) * 3.4641;
  }

  Size size_;
  int channels_;
  int margin_;  ///< of rebate, pixels
  std::uint64_t state_ = 1;
};

/// A sheet of six strips of six frames of 24 x 36 on bare light, gray, 238 by 242 mm.
class SheetRows {
 public:
  explicit SheetRows(Size size) : size_(size), picture_(size, 1, false) {}

  std::vector<std::uint16_t> row(int y) {
    std::vector<std::uint16_t> out = picture_.row(y);
    const double v = std::fmod((y + 0.5) * 242 / size_.height, 40.0) - 5;  // on the strip
    const bool strip = v >= 0 && v < 35 && y < 0.99 * size_.height;
    for (int x = 0; x < size_.width; ++x) {
      const double u = (x + 0.5) * 238 / size_.width - 5;
      const bool film = strip && u >= 0 && u < 228;
      const double along = std::fmod(u, 38.0);
      const bool hole =
          std::fmod(u + 4.75, 4.75) < 1.98 && ((v >= 2 && v < 4.8) || (v >= 30.2 && v < 33));
      const bool frame = v >= 5.5 && v < 29.5 && along >= 1 && along < 37;
      auto& code = out[static_cast<std::size_t>(x)];
      const double dark = code / 65535.0;  // of the picture on its base, gamma 2.2
      if (!film || hole)
        code = static_cast<std::uint16_t>(62000 + 200 * dark);
      else if (!frame)
        code = static_cast<std::uint16_t>(44000 + 300 * dark);
      else
        code = static_cast<std::uint16_t>(1.05 * code);
    }
    return out;
  }

 private:
  Size size_;
  NegativeRows picture_;
};

struct TiffKind {
  int channels = 3;
  int compression = COMPRESSION_NONE;
  int predictor = 1;
  int tile = 0;
  int rows_per_strip = 16;
};

TIFF* open_tiff_for_writing(const std::string& path, Size size, const TiffKind& kind) {
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, size.width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, size.height);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, kind.channels);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC,
               kind.channels == 1 ? PHOTOMETRIC_MINISBLACK : PHOTOMETRIC_RGB);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, kind.compression);
  if (kind.predictor > 1) TIFFSetField(tiff, TIFFTAG_PREDICTOR, kind.predictor);
  return tiff;
}

void write_tiled(TIFF* tiff, Size size, const TiffKind& kind) {
  TIFFSetField(tiff, TIFFTAG_TILEWIDTH, kind.tile);
  TIFFSetField(tiff, TIFFTAG_TILELENGTH, kind.tile);
  NegativeRows picture(size, kind.channels);
  std::vector<std::uint16_t> tile(static_cast<std::size_t>(kind.tile) * kind.tile * kind.channels);
  for (int y = 0; y < size.height; y += kind.tile) {
    std::vector<std::vector<std::uint16_t>> band;
    for (int r = 0; r < kind.tile; ++r) band.push_back(picture.row(y + r));
    for (int x = 0; x < size.width; x += kind.tile) {
      const int columns = std::min(kind.tile, size.width - x);
      for (int r = 0; r < kind.tile; ++r)
        std::memcpy(&tile[static_cast<std::size_t>(r) * kind.tile * kind.channels],
                    &band[r][static_cast<std::size_t>(x) * kind.channels],
                    static_cast<std::size_t>(columns) * kind.channels * 2);
      TIFFWriteTile(tiff, tile.data(), x, y, 0, 0);
    }
  }
}

void write_tiff(const std::string& path, Size size, const TiffKind& kind) {
  TIFF* tiff = open_tiff_for_writing(path, size, kind);
  if (kind.tile > 0) {
    write_tiled(tiff, size, kind);
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, kind.rows_per_strip);
    NegativeRows picture(size, kind.channels);
    for (int y = 0; y < size.height; ++y) TIFFWriteScanline(tiff, picture.row(y).data(), y, 0);
  }
  TIFFClose(tiff);
}

void write_sheet(const std::string& path, Size size) {
  const TiffKind kind{.channels = 1, .compression = COMPRESSION_ADOBE_DEFLATE, .predictor = 2};
  TIFF* tiff = open_tiff_for_writing(path, size, kind);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, kind.rows_per_strip);
  SheetRows sheet(size);
  for (int y = 0; y < size.height; ++y) TIFFWriteScanline(tiff, sheet.row(y).data(), y, 0);
  TIFFClose(tiff);
}

void write_jpeg(const std::string& path, Size size) {
  constexpr int kQuality = 98;
  std::FILE* file = std::fopen(path.c_str(), "wb");
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  jpeg_stdio_dest(&info, file);
  info.image_width = size.width;
  info.image_height = size.height;
  info.input_components = 3;
  info.in_color_space = JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, kQuality, TRUE);
  info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = 1;
  jpeg_start_compress(&info, TRUE);
  NegativeRows picture(size, 3);
  std::vector<JSAMPLE> bytes(static_cast<std::size_t>(size.width) * 3);
  for (int y = 0; y < size.height; ++y) {
    const auto codes = picture.row(y);
    for (std::size_t i = 0; i < codes.size(); ++i) bytes[i] = static_cast<JSAMPLE>(codes[i] >> 8);
    JSAMPROW row = bytes.data();
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  std::fclose(file);
}

void write_png(const std::string& path, Size size) {
  std::FILE* file = std::fopen(path.c_str(), "wb");
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_init_io(png, file);
  png_set_IHDR(png, info, size.width, size.height, 16, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_set_compression_level(png, 1);
  png_write_info(png, info);
  if (std::endian::native == std::endian::little) png_set_swap(png);
  NegativeRows picture(size, 3);
  for (int y = 0; y < size.height; ++y) {
    auto codes = picture.row(y);
    png_write_row(png, reinterpret_cast<png_bytep>(codes.data()));
  }
  png_write_end(png, info);
  png_destroy_write_struct(&png, &info);
  std::fclose(file);
}

/// A Bayer DNG of 14 bits in tiles of lossless JPEG, as cameras write it.
void write_raw(const std::string& path, Size size) {
  constexpr int kTile = 256;
  constexpr std::uint16_t kBlack = 512;
  NegativeRows picture(size, 1);
  std::vector<std::uint16_t> mosaic;
  for (int y = 0; y < size.height; ++y)
    for (const std::uint16_t code : picture.row(y))
      mosaic.push_back(static_cast<std::uint16_t>(kBlack + code / 5));
  basefog::bench::write_lossless_dng(path, mosaic, size.width, size.height, kTile);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 5) {
    std::cerr << "usage: bench_scans none|lzw|deflate|gray|tiled|strip|jpeg|png|raw|sheet "
                 "WIDTH HEIGHT FILE\n";
    return 2;
  }
  const std::string_view kind = argv[1];
  const Size size{std::atoi(argv[2]), std::atoi(argv[3])};
  const std::string path = argv[4];
  if (kind == "none")
    write_tiff(path, size, {});
  else if (kind == "lzw")
    write_tiff(path, size, {.compression = COMPRESSION_LZW, .predictor = 2});
  else if (kind == "deflate")
    write_tiff(path, size, {.compression = COMPRESSION_ADOBE_DEFLATE, .predictor = 2});
  else if (kind == "gray")
    write_tiff(path, size, {.channels = 1});
  else if (kind == "tiled")
    write_tiff(path, size, {.tile = 256});
  else if (kind == "strip")
    write_tiff(
        path, size,
        {.compression = COMPRESSION_ADOBE_DEFLATE, .predictor = 2, .rows_per_strip = size.height});
  else if (kind == "jpeg")
    write_jpeg(path, size);
  else if (kind == "png")
    write_png(path, size);
  else if (kind == "sheet")
    write_sheet(path, size);
  else if (kind == "raw")
    write_raw(path, size);
  else
    return 2;
  return 0;
}

// SPDX-License-Identifier: GPL-3.0-or-later
#include "makers/scan_writer.hpp"

// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on

#include <gtest/gtest.h>
#include <png.h>
#include <tiffio.h>

#include <bit>
#include <fstream>
#include <iterator>

#include "test_folder.hpp"

namespace basefog::test {

std::string temporary(const std::string& name) { return test_folder() / name; }

std::string write_tiff(const std::string& name, const TiffLayout& layout,
                       const std::vector<std::uint16_t>& samples) {
  std::string path = temporary(name);
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, layout.width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, layout.height);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, layout.samples);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, layout.photometric);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, layout.orientation);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, layout.rows_per_strip);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, layout.compression);
  if (layout.extra) TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, &*layout.extra);
  std::vector<std::uint16_t> row(static_cast<std::size_t>(layout.width) * layout.samples);
  for (int y = 0; y < layout.height; ++y) {
    const auto first = samples.begin() + static_cast<std::ptrdiff_t>(row.size()) * y;
    row.assign(first, first + static_cast<std::ptrdiff_t>(row.size()));
    TIFFWriteScanline(tiff, row.data(), y, 0);
  }
  TIFFClose(tiff);
  return path;
}

std::string write_png(const std::string& name, const PngLayout& layout,
                      const std::vector<std::uint16_t>& samples) {
  std::string path = temporary(name);
  std::FILE* file = std::fopen(path.c_str(), "wb");
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_init_io(png, file);
  png_set_IHDR(png, info, layout.width, layout.height, layout.bits, layout.colour_type,
               layout.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  if (layout.gamma) png_set_gAMA(png, info, *layout.gamma);
  if (layout.srgb) png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
  png_write_info(png, info);
  std::vector<png_byte> bytes;
  for (const std::uint16_t sample : samples) {
    if (layout.bits == 16) bytes.push_back(static_cast<png_byte>(sample >> 8));
    bytes.push_back(static_cast<png_byte>(sample & 0xFF));
  }
  std::vector<png_bytep> rows;
  for (int y = 0; y < layout.height; ++y) rows.push_back(&bytes[bytes.size() / layout.height * y]);
  png_write_image(png, rows.data());
  png_write_end(png, info);
  png_destroy_write_struct(&png, &info);
  std::fclose(file);
  return path;
}

std::string write_jpeg(const std::string& name, int width, int height, int components,
                       const std::vector<std::uint8_t>& samples) {
  std::string path = temporary(name);
  std::FILE* file = std::fopen(path.c_str(), "wb");
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  jpeg_stdio_dest(&info, file);
  info.image_width = width;
  info.image_height = height;
  info.input_components = components;
  info.in_color_space = components == 1 ? JCS_GRAYSCALE : components == 3 ? JCS_RGB : JCS_CMYK;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, 100, TRUE);
  info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = 1;
  jpeg_start_compress(&info, TRUE);
  std::vector<JSAMPLE> row(static_cast<std::size_t>(width) * components);
  for (int y = 0; y < height; ++y) {
    const auto first = samples.begin() + static_cast<std::ptrdiff_t>(row.size()) * y;
    row.assign(first, first + static_cast<std::ptrdiff_t>(row.size()));
    JSAMPROW pointer = row.data();
    jpeg_write_scanlines(&info, &pointer, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  std::fclose(file);
  return path;
}

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string write_bytes(const std::string& name, const std::string& bytes) {
  std::string path = temporary(name);
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

}  // namespace basefog::test

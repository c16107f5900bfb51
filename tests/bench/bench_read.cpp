// SPDX-License-Identifier: GPL-3.0-or-later
// Times one way of going through scans: bench_read read THREADS FILE... with read_scan, or
// bench_read decode FILE... with the decoding library alone on one thread, or bench_read measure
// FILE... with all that is done with a scan: read, find the film, measure its frames.
// Prints: seconds, peak memory in MiB, seconds of processor time.
// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on

#include <libraw/libraw.h>
#include <png.h>
#include <sys/resource.h>
#include <tiffio.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <iostream>
#include <memory>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/density/density.hpp"
#include "basefog/scan/scan.hpp"

namespace {

using Paths = std::vector<std::string>;

void decode_tiff(const std::string& path) {
  TIFF* tiff = TIFFOpen(path.c_str(), "rm");
  const bool tiled = TIFFIsTiled(tiff) != 0;
  const bool large = !tiled && TIFFStripSize(tiff) > (32 << 20);
  std::vector<char> buffer(tiled   ? TIFFTileSize(tiff)
                           : large ? TIFFScanlineSize(tiff)
                                   : TIFFStripSize(tiff));
  std::uint32_t height = 0;
  TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height);
  if (tiled) {
    for (std::uint32_t i = 0; i < TIFFNumberOfTiles(tiff); ++i)
      TIFFReadEncodedTile(tiff, i, buffer.data(), static_cast<tmsize_t>(buffer.size()));
  } else if (large) {
    for (std::uint32_t y = 0; y < height; ++y) TIFFReadScanline(tiff, buffer.data(), y, 0);
  } else {
    for (std::uint32_t i = 0; i < TIFFNumberOfStrips(tiff); ++i)
      TIFFReadEncodedStrip(tiff, i, buffer.data(), static_cast<tmsize_t>(buffer.size()));
  }
  TIFFClose(tiff);
}

void decode_jpeg(const std::string& path) {
  std::FILE* file = std::fopen(path.c_str(), "rb");
  jpeg_decompress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&info);
  jpeg_stdio_src(&info, file);
  jpeg_read_header(&info, TRUE);
  jpeg_start_decompress(&info);
  std::vector<JSAMPLE> row(static_cast<std::size_t>(info.output_width) * info.output_components);
  JSAMPROW rows[] = {row.data()};
  while (info.output_scanline < info.output_height) jpeg_read_scanlines(&info, rows, 1);
  jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  std::fclose(file);
}

void decode_png(const std::string& path) {
  std::FILE* file = std::fopen(path.c_str(), "rb");
  png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_init_io(png, file);
  png_read_info(png, info);
  std::vector<png_byte> row(png_get_rowbytes(png, info));
  for (png_uint_32 y = 0; y < png_get_image_height(png, info); ++y)
    png_read_row(png, row.data(), nullptr);
  png_destroy_read_struct(&png, &info, nullptr);
  std::fclose(file);
}

void decode_raw(const std::string& path) {
  const auto raw = std::make_unique<LibRaw>();
  raw->open_file(path.c_str());
  raw->unpack();
}

void decode_only(const std::string& path) {
  if (path.ends_with(".jpg")) return decode_jpeg(path);
  if (path.ends_with(".png")) return decode_png(path);
  if (path.ends_with(".dng")) return decode_raw(path);
  decode_tiff(path);
}

void read(const Paths& paths, int threads) {
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < paths.size(); i = next++) basefog::scan::read_scan(paths[i]);
  };
  std::vector<std::jthread> pool;
  for (int t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
}

/// All that is done with a scan before the roll is looked at.
void measure(const std::string& path) {
  const basefog::scan::Scan scan = basefog::scan::read_scan(path);
  basefog::density::measure_frames(scan, basefog::area::find_film(scan));
}

void print_cost(double seconds) {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  const auto in_seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  std::printf("%.4f %.1f %.4f\n", seconds, static_cast<double>(usage.ru_maxrss) / 1024.0,
              in_seconds(usage.ru_utime) + in_seconds(usage.ru_stime));
}

}  // namespace

int main(int argc, char** argv) {
  const std::string_view how = argc > 1 ? argv[1] : "";
  const int first = how == "read" ? 3 : 2;
  if ((how != "read" && how != "decode" && how != "measure") || argc <= first) {
    std::cerr << "usage: bench_read read THREADS FILE... | decode FILE... | measure FILE...\n";
    return 2;
  }
  const Paths paths(argv + first, argv + argc);
  const auto start = std::chrono::steady_clock::now();
  if (how == "read")
    read(paths, std::atoi(argv[2]));
  else
    for (const std::string& path : paths) how == "measure" ? measure(path) : decode_only(path);
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
  print_cost(seconds.count());
  return 0;
}

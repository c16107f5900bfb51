// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/tiff_file.hpp"

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"

namespace basefog::decode {
namespace {

int keep_first_error(TIFF*, void* user_data, const char*, const char* format, va_list arguments) {
  auto* error = static_cast<std::string*>(user_data);
  if (error->empty()) {
    std::array<char, 512> text{};
    std::vsnprintf(text.data(), text.size(), format, arguments);
    *error = text.data();
    // What libtiff says where it was at no row yet.
    constexpr std::string_view kNoRow = " at scanline 4294967295";
    if (const std::size_t at = error->find(kNoRow); at != std::string::npos) {
      error->erase(at, kNoRow.size());
    }
  }
  return 1;
}

int drop_warning(TIFF*, void*, const char*, const char*, va_list) { return 1; }

TiffPage present_page(const TiffFile& file) {
  TiffPage page;
  page.directory = TIFFCurrentDirectory(file.handle());
  page.width = file.tag<std::uint32_t>(TIFFTAG_IMAGEWIDTH).value_or(0);
  page.height = file.tag<std::uint32_t>(TIFFTAG_IMAGELENGTH).value_or(0);
  page.bits = file.short_tag(TIFFTAG_BITSPERSAMPLE, 1);
  page.samples = file.short_tag(TIFFTAG_SAMPLESPERPIXEL, 1);
  page.sample_format = file.short_tag(TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
  page.photometric = file.short_tag(TIFFTAG_PHOTOMETRIC,
                                    page.samples >= 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK);
  page.compression = file.short_tag(TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  page.planar = file.short_tag(TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  page.orientation = file.short_tag(TIFFTAG_ORIENTATION, 1);
  std::uint16_t count = 0;
  std::uint16_t* kinds = nullptr;
  if (TIFFGetField(file.handle(), TIFFTAG_EXTRASAMPLES, &count, &kinds) == 1)
    page.extra_samples.assign(kinds, kinds + count);
  std::uint32_t type = 0;
  std::uint16_t old_type = 0;
  TIFFGetField(file.handle(), TIFFTAG_SUBFILETYPE, &type);
  TIFFGetField(file.handle(), TIFFTAG_OSUBFILETYPE, &old_type);
  page.reduced =
      (type & (FILETYPE_REDUCEDIMAGE | FILETYPE_MASK)) != 0 || old_type == OFILETYPE_REDUCEDIMAGE;
  return page;
}

std::vector<std::uint64_t> sub_directories(const TiffFile& file) {
  std::uint16_t count = 0;
  std::uint64_t* offsets = nullptr;
  if (TIFFGetField(file.handle(), TIFFTAG_SUBIFD, &count, &offsets) != 1) return {};
  return {offsets, offsets + std::min<std::size_t>(count, limits::kMostTiffPages)};
}

}  // namespace

TiffFile::TiffFile(const std::filesystem::path& path)
    : path_(path), error_(std::make_unique<std::string>()) {
  const std::unique_ptr<TIFFOpenOptions, void (*)(TIFFOpenOptions*)> options(TIFFOpenOptionsAlloc(),
                                                                             TIFFOpenOptionsFree);
  TIFFOpenOptionsSetErrorHandlerExtR(options.get(), keep_first_error, error_.get());
  TIFFOpenOptionsSetMaxSingleMemAlloc(options.get(), limits::kMostPackedBytes);
  TIFFOpenOptionsSetWarningHandlerExtR(options.get(), drop_warning, nullptr);
  handle_.reset(TIFFOpenExt(path.c_str(), "rm", options.get()));
  if (!handle_)
    throw InputError(ErrorCode::unreadable, path, "is not a whole TIFF file (" + *error_ + ")",
                     "copy it again, or scan the frame again");
}

bool TiffPage::same_shape_as(const TiffPage& other) const {
  return width == other.width && height == other.height && samples == other.samples &&
         bits == other.bits;
}

std::vector<TiffPage> tiff_pages(TiffFile& file) {
  std::vector<TiffPage> pages;
  std::vector<std::uint64_t> offsets;
  do {
    pages.push_back(present_page(file));
    for (const std::uint64_t offset : sub_directories(file)) offsets.push_back(offset);
  } while (pages.size() < limits::kMostTiffPages && TIFFReadDirectory(file.handle()) == 1);
  for (const std::uint64_t offset : offsets) {
    if (pages.size() >= limits::kMostTiffPages || TIFFSetSubDirectory(file.handle(), offset) != 1)
      continue;
    pages.push_back(present_page(file));
    pages.back().is_sub_directory = true;
    pages.back().directory = offset;
  }
  return pages;
}

void select_page(TiffFile& file, const TiffPage& page) {
  const int done = page.is_sub_directory
                       ? TIFFSetSubDirectory(file.handle(), page.directory)
                       : TIFFSetDirectory(file.handle(), static_cast<tdir_t>(page.directory));
  if (done != 1)
    throw InputError(ErrorCode::unreadable, file.path(),
                     "has a damaged directory (" + file.error() + ")",
                     "copy it again, or scan the frame again");
}

const TiffPage& main_page(const std::vector<TiffPage>& pages) {
  return *std::max_element(pages.begin(), pages.end(), [](const TiffPage& a, const TiffPage& b) {
    if (a.reduced != b.reduced) return a.reduced;
    return a.area() < b.area();
  });
}

}  // namespace basefog::decode

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <tiffio.h>

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace basefog::decode {

/// An open TIFF file with its own error messages, so that threads do not share libtiff's global
/// handlers. Not mapped into memory: a mapped file counts as memory in full.
class TiffFile {
 public:
  /// Throws InputError (unreadable).
  explicit TiffFile(const std::filesystem::path& path);

  TIFF* handle() const { return handle_.get(); }
  const std::filesystem::path& path() const { return path_; }
  /// The first error that libtiff reported, empty if none.
  const std::string& error() const { return *error_; }

  /// A tag's value, or its default in the TIFF standard where it has one.
  template <class Value>
  std::optional<Value> tag(std::uint32_t tag) const {
    Value value{};
    if (TIFFGetFieldDefaulted(handle(), tag, &value) != 1) return std::nullopt;
    return value;
  }
  std::uint16_t short_tag(std::uint32_t t, std::uint16_t otherwise = 0) const {
    return tag<std::uint16_t>(t).value_or(otherwise);
  }

 private:
  struct Close {
    void operator()(TIFF* tiff) const { TIFFClose(tiff); }
  };
  std::filesystem::path path_;
  std::unique_ptr<std::string> error_;  ///< stays in place when this object moves
  std::unique_ptr<TIFF, Close> handle_;
};

/// Photometric interpretation of a DNG's sensor values with every colour at every pixel.
inline constexpr std::uint16_t kLinearRaw = 34892;

/// One picture in a TIFF file.
struct TiffPage {
  std::uint64_t directory = 0;  ///< number of a main directory, or offset of a sub-directory
  bool is_sub_directory = false;
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::uint16_t bits = 1;
  std::uint16_t samples = 1;
  std::uint16_t sample_format = SAMPLEFORMAT_UINT;
  std::uint16_t photometric = 0;
  std::uint16_t compression = COMPRESSION_NONE;
  std::uint16_t planar = PLANARCONFIG_CONTIG;
  std::uint16_t orientation = 1;
  std::vector<std::uint16_t> extra_samples;  ///< EXTRASAMPLE_ kinds
  bool reduced = false;                      ///< a thumbnail or preview, or a transparency mask

  std::uint64_t area() const { return static_cast<std::uint64_t>(width) * height; }
  bool is_raw() const { return photometric == PHOTOMETRIC_CFA || photometric == kLinearRaw; }
  bool is_gray() const {
    return photometric <= PHOTOMETRIC_MINISBLACK || (is_raw() && samples < 3);
  }
  bool same_shape_as(const TiffPage& other) const;
};

/// All pages, sub-directories included, in file order.
std::vector<TiffPage> tiff_pages(TiffFile& file);
/// Makes a page the handle's present directory. Throws InputError (unreadable).
void select_page(TiffFile& file, const TiffPage& page);
/// The largest page that is not a reduced copy; the first of equals. pages must not be empty.
const TiffPage& main_page(const std::vector<TiffPage>& pages);

/// Throws InputError (unsupported) with the name of what basefog does not take in a page: CMYK,
/// palette, 1 bit, packed samples, complex numbers, ...
void refuse_unsupported(const TiffFile& file, const TiffPage& page);

}  // namespace basefog::decode

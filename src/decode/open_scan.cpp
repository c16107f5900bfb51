// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <fstream>
#include <string>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "decode/decoder.hpp"
#include "decode/jpeg_decoder.hpp"
#include "decode/png_decoder.hpp"
#include "decode/raw_decoder.hpp"
#include "decode/raw_tiff.hpp"
#include "decode/tiff_decoder.hpp"

namespace basefog::decode {
namespace {

using namespace std::string_view_literals;

/// The first bytes of a file, by which formats are recognised.
std::string first_bytes(const std::filesystem::path& path) {
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (!std::filesystem::exists(status))
    throw InputError(ErrorCode::not_found, path, "does not exist", "check the name");
  if (!std::filesystem::is_regular_file(status))
    throw InputError(ErrorCode::unreadable, path, "is not a file", "name a scan");
  std::ifstream in(path, std::ios::binary);
  if (!in)
    throw InputError(ErrorCode::unreadable, path, "cannot be opened", "check its permissions");
  std::array<char, 64> bytes{};
  in.read(bytes.data(), bytes.size());
  if (in.gcount() == 0)
    throw InputError(ErrorCode::unreadable, path, "is empty",
                     "copy it again, or scan the frame again");
  return {bytes.data(), static_cast<std::size_t>(in.gcount())};
}

bool is_tiff(std::string_view head) {
  return head.starts_with("II\x2a\0"sv) || head.starts_with("MM\0\x2a"sv) ||
         head.starts_with("II\x2b\0"sv) || head.starts_with("MM\0\x2b"sv);
}

/// Camera raw that is not wrapped in TIFF.
bool is_other_raw(std::string_view head) {
  constexpr std::array kStarts = {
      "FUJIFILMCCD-RAW"sv, "IIRO"sv, "IIRS"sv,  "MMOR"sv,
      "IIU\0"sv,           "FOVb"sv, "\0MRM"sv, "II\x1a\0\0\0HEAPCCDR"sv};
  return std::any_of(kStarts.begin(), kStarts.end(),
                     [&](std::string_view start) { return head.starts_with(start); }) ||
         (head.size() >= 12 && head.substr(4, 8) == "ftypcrx "sv);
}

/// Name of a format that basefog knows of and does not take; empty for others.
std::string other_format(std::string_view head) {
  const auto brand = head.size() >= 12 && head.substr(4, 4) == "ftyp"sv ? head.substr(8, 4) : ""sv;
  if (brand == "avif"sv || brand == "avis"sv) return "AVIF";
  if (brand.starts_with("he"sv) || brand == "mif1"sv || brand == "msf1"sv) return "HEIF";
  if (head.starts_with("\xff\x0a"sv) || head.starts_with("\0\0\0\x0cJXL "sv)) return "JPEG XL";
  if (head.starts_with("\0\0\0\x0cjP  "sv) || head.starts_with("\xff\x4f\xff\x51"sv))
    return "JPEG 2000";
  if (head.starts_with("RIFF"sv) && head.size() >= 12 && head.substr(8, 4) == "WEBP"sv)
    return "WebP";
  if (head.starts_with("8BPS"sv)) return "a layered (PSD) document";
  if (head.starts_with("GIF8"sv)) return "GIF";
  if (head.starts_with("BM"sv)) return "BMP";
  if (head.starts_with("\x76\x2f\x31\x01"sv)) return "OpenEXR";
  if (head.starts_with("#?RADIANCE"sv)) return "Radiance HDR";
  if (head.starts_with("%PDF"sv)) return "PDF";
  return "";
}

}  // namespace

void refuse_too_many_pixels(const std::filesystem::path& path, std::uint64_t width,
                            std::uint64_t height, std::uint64_t most) {
  const bool too_long = std::max(width, height) > limits::kMostPixelsASide;
  if (!too_long && (height == 0 || width <= most / height)) return;
  throw InputError(ErrorCode::unreadable, path,
                   "claims " + std::to_string(width) + " x " + std::to_string(height) +
                       " pixels, over the limit of " +
                       (too_long ? std::to_string(limits::kMostPixelsASide) + " a side"
                                 : std::to_string(most / 1'000'000) + " megapixels"),
                   "scan at a lower resolution, or copy the file again if it is not that large");
}

std::span<const std::string_view> scan_endings() {
  static constexpr auto kEndings = std::to_array<std::string_view>(
      {".tif", ".tiff", ".jpg", ".jpeg", ".jpe", ".png", ".dng", ".nef", ".nrw", ".cr2", ".cr3",
       ".crw", ".arw", ".srf", ".sr2", ".raf", ".orf", ".rw2", ".raw", ".rwl", ".pef", ".srw",
       ".3fr", ".fff", ".iiq", ".mos", ".mrw",
       // only to be refused with a sentence
       ".heic", ".heif", ".hif", ".avif", ".jxl", ".jp2"});
  return kEndings;
}

std::unique_ptr<Decoder> open_scan(const std::filesystem::path& path) {
  const std::string head = first_bytes(path);
  if (is_tiff(head)) {
    TiffFile file(path);
    const std::vector<TiffPage> pages = tiff_pages(file);
    if (head.substr(8, 2) == "CR"sv) return open_raw(path);  // CR2
    return holds_raw(pages) ? open_raw_tiff(std::move(file), pages)
                            : open_tiff(std::move(file), pages);
  }
  if (head.starts_with("\xff\xd8\xff"sv)) return open_jpeg(path);
  if (head.starts_with("\x89PNG\r\n\x1a\n"sv)) return open_png(path);
  if (is_other_raw(head)) return open_raw(path);
  const std::string other = other_format(head);
  if (!other.empty())
    throw InputError(ErrorCode::unsupported, path, "is " + other,
                     "export it as TIFF with 16 bits a channel");
  throw InputError(ErrorCode::unsupported, path, "is not a picture that basefog knows",
                   "give TIFF, DNG or camera raw, PNG or JPEG files");
}

}  // namespace basefog::decode

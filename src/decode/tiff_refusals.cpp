// SPDX-License-Identifier: GPL-3.0-or-later
#include <string>

#include "basefog/core/error.hpp"
#include "decode/tiff_file.hpp"

namespace basefog::decode {
namespace {

constexpr const char* kExportGrayOrRgb = "export it as gray or RGB TIFF with 16 bits a channel";

std::string unsupported_photometric(const TiffPage& page) {
  switch (page.photometric) {
    case PHOTOMETRIC_MINISWHITE:
    case PHOTOMETRIC_MINISBLACK:
    case PHOTOMETRIC_RGB:
    case PHOTOMETRIC_CFA:
    case kLinearRaw:
      return "";
    case PHOTOMETRIC_YCBCR:
      return page.compression == COMPRESSION_JPEG ? "" : "holds YCbCr colour";
    case PHOTOMETRIC_PALETTE:
      return "holds palette colour";
    case PHOTOMETRIC_MASK:
      return "holds a transparency mask";
    case PHOTOMETRIC_SEPARATED:
      return "holds printing inks (CMYK)";
    case PHOTOMETRIC_CIELAB:
    case PHOTOMETRIC_ICCLAB:
    case PHOTOMETRIC_ITULAB:
      return "holds Lab colour";
    case PHOTOMETRIC_LOGL:
    case PHOTOMETRIC_LOGLUV:
      return "holds log luminance (LogLuv)";
    default:
      return "has an unknown photometric interpretation (" + std::to_string(page.photometric) + ")";
  }
}

std::string unsupported_samples(const TiffPage& page) {
  const std::string bits = std::to_string(page.bits);
  switch (page.sample_format) {
    case SAMPLEFORMAT_UINT:
    case SAMPLEFORMAT_VOID:
      if (page.bits == 1) return "has 1 bit a pixel (line art)";
      if (page.bits == 8 || page.bits == 16 || page.bits == 32) return "";
      return "has " + bits + "-bit packed samples";
    case SAMPLEFORMAT_IEEEFP:
      if (page.bits == 16 || page.bits == 32 || page.bits == 64) return "";
      return "has " + bits + "-bit floating-point samples";
    case SAMPLEFORMAT_INT:
      return "has signed " + bits + "-bit samples";
    case SAMPLEFORMAT_COMPLEXINT:
    case SAMPLEFORMAT_COMPLEXIEEEFP:
      return "has complex samples";
    default:
      return "has an unknown sample format (" + std::to_string(page.sample_format) + ")";
  }
}

std::string unsupported_compression(const TiffPage& page) {
  if (page.compression == COMPRESSION_OJPEG) return "uses the old form of JPEG compression";
  if (TIFFIsCODECConfigured(page.compression) == 1) return "";
  const TIFFCodec* codec = TIFFFindCODEC(page.compression);
  return "uses a compression that cannot be read here (" +
         (codec ? std::string(codec->name) : std::to_string(page.compression)) + ")";
}

}  // namespace

void refuse_unsupported(const TiffFile& file, const TiffPage& page) {
  const auto refuse = [&](const std::string& problem) {
    if (!problem.empty())
      throw InputError(ErrorCode::unsupported, file.path(), problem, kExportGrayOrRgb);
  };
  refuse(unsupported_photometric(page));
  refuse(unsupported_samples(page));
  refuse(unsupported_compression(page));
  if (!page.is_gray() && page.samples < 3)
    refuse("says RGB but has " + std::to_string(page.samples) + " samples a pixel");
  if (file.tag<std::uint32_t>(TIFFTAG_IMAGEDEPTH).value_or(1) > 1)
    refuse("holds a volume of more than one slice");
}

}  // namespace basefog::decode

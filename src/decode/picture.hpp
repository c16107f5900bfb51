// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "basefog/core/quality.hpp"
#include "basefog/response/response.hpp"
#include "response/declared_response.hpp"

namespace basefog::decode {

/// Number type of the samples that a decoder hands over.
enum class SampleKind : std::uint8_t { u8, u16, f32 };

/// The picture in a scan file as it is stored: its size, its samples, and what the file says about
/// their meaning.
struct Picture {
  std::string format;  ///< "TIFF", "JPEG", "PNG", "DNG", ...
  response::ScanFormat container =
      response::ScanFormat::tiff;  ///< decides what is assumed of the response
  int width = 0;                   ///< pixels, as stored
  int height = 0;                  ///< pixels, as stored
  int channels = 0;                ///< 1 gray, 3 red, green, blue
  int orientation = 1;  ///< how the stored picture is to be turned [TIFF6, Orientation], 1 to 8
  int bits_per_sample = 16;
  SampleKind kind = SampleKind::u16;
  /// Codes that stand for no light and for full scale, per channel; black > white where the least
  /// code is white (MinIsWhite).
  std::array<double, 3> black{};
  std::array<double, 3> white{};
  double code_steps = 65535;  ///< steps of code between no light and full scale
  /// Codes are to be looked up here before anything else; empty for most files.
  std::vector<std::uint16_t> linearization;
  bool has_white_limit = true;  ///< false where codes above full scale mean more light (floats)
  std::vector<std::uint8_t> icc_profile;
  /// Exif block (a TIFF header and its directories) and XMP packet, of formats that wrap them.
  std::vector<std::uint8_t> exif;
  std::string xmp;
  /// What the file says of its response outside a profile (transfer tables, gamma, sensor values).
  std::optional<response::Response> declared;
  /// Of scanner or camera and its software, for files whose metadata exiv2 cannot read.
  std::string make;
  std::string model;
  std::string software;
  std::string date;  ///< as in Exif
  FlagSet flags;
};

}  // namespace basefog::decode

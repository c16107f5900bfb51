// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "decode/decoder.hpp"
#include "decode/tiff_file.hpp"

namespace basefog::decode {

/// Decoder for the main page of a TIFF file: strips or tiles, contiguous or planar.
/// Throws InputError (unsupported, unreadable).
std::unique_ptr<Decoder> open_tiff(TiffFile file, const std::vector<TiffPage>& pages);

/// What a DNG says of its sensor codes.
struct SensorLevels {
  std::array<double, 3> black{};
  std::array<double, 3> white{};
  std::vector<std::uint16_t> linearization;  ///< what stored codes stand for; may be empty
  int orientation = 1;
};

/// Decoder for a DNG page with every colour at every pixel. Throws as open_tiff.
std::unique_ptr<Decoder> open_linear_raw(TiffFile file, const TiffPage& page,
                                         const SensorLevels& levels);

}  // namespace basefog::decode

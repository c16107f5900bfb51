// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <vector>

#include "decode/decoder.hpp"
#include "decode/tiff_file.hpp"

namespace basefog::decode {

/// True where any page holds sensor values: DNG and the camera raws that are TIFF inside.
bool holds_raw(const std::vector<TiffPage>& pages);

/// Decoder for the largest page of sensor values: through libtiff the layouts that LibRaw 0.20
/// decodes wrongly without an error (tiles without compression, separate planes) or holds at 8
/// bytes a pixel (linear DNG), through LibRaw all others. Throws InputError (unsupported,
/// unreadable).
std::unique_ptr<Decoder> open_raw_tiff(TiffFile file, const std::vector<TiffPage>& pages);

}  // namespace basefog::decode

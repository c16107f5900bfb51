// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>

#include "scan/decoder.hpp"
#include "scan/tiff_file.hpp"

namespace basefog {

/// Decoder for the main page of a TIFF file: strips or tiles, contiguous or planar.
/// Throws InputError (unsupported, unreadable).
std::unique_ptr<Decoder> open_tiff(TiffFile file, const std::vector<TiffPage>& pages);

}  // namespace basefog

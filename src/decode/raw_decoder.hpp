// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>

#include "decode/decoder.hpp"

namespace basefog::decode {

/// Decoder for camera raw and for DNG, through LibRaw: linear sensor values, one pixel a cell of
/// the colour pattern, without white balance, tone curve, brightening or interpolation. Holds the
/// whole sensor image. Throws InputError (unsupported, unreadable).
std::unique_ptr<Decoder> open_raw(const std::filesystem::path& path);

}  // namespace basefog::decode

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>

#include "decode/decoder.hpp"

namespace basefog::decode {

/// Decoder for PNG files, gray or RGB of 8 or 16 bits, alpha ignored. Interlaced files are held
/// whole in memory. Throws InputError (unsupported, unreadable).
std::unique_ptr<Decoder> open_png(const std::filesystem::path& path);

}  // namespace basefog::decode

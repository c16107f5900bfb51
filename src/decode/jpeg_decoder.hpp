// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>

#include "decode/decoder.hpp"

namespace basefog::decode {

/// Decoder for JPEG files, gray or colour, 8 bits. Progressive files are held whole in memory by
/// libjpeg. Throws InputError (unsupported, unreadable).
std::unique_ptr<Decoder> open_jpeg(const std::filesystem::path& path);

}  // namespace basefog::decode

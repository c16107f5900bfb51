// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

#include "simulator/scanner.hpp"

namespace simulator {

/// An ICC profile that says how the codes stand for light: gray or RGB (Rec. 709 primaries) with a
/// linear or sRGB tone curve. The same bytes on every run.
std::vector<std::uint8_t> icc_profile(const ScanImage& scan);

/// Writes a Deflate TIFF with the scan's resolution and profile; throws std::runtime_error where it
/// cannot.
void write_tiff(const std::filesystem::path& path, const ScanImage& scan);

}  // namespace simulator

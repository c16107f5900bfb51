// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "simulator/panorama.hpp"
#include "simulator/scanner.hpp"

namespace simulator {

/// Reads a panorama from an OpenEXR (.exr) or Radiance (.hdr) file.
/// Throws std::runtime_error where it cannot. Not safe to call from several threads at first use.
Panorama read_panorama(const std::filesystem::path& path);

/// Writes an 8-bit scan as JPEG (quality 1 to 100), without a profile.
void write_jpeg(const std::filesystem::path& path, const ScanImage& scan, int quality = 92);

}  // namespace simulator

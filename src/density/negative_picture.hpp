// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <span>

#include "basefog/density/density.hpp"

namespace basefog::density {

/// A region as a picture of a long side of at most `most` pixels, and of no more than the blocks
/// hold.
NegativePicture picture_of(const decode::BlockImage& blocks, const area::FrameRegion& region,
                           int most);

struct PictureSize {
  int width = 0;   ///< pixels
  int height = 0;  ///< pixels
};

/// What read_pictures gives of a region: a pixel of the scan is not enlarged.
PictureSize size_from_scan(const area::FrameRegion& region, int long_side);

/// Pictures of frames on a scan, straight from its pixels, in a second pass over the file: as large
/// as the scan has them, long side at most long_side. Each is handed over once, in the order of the
/// scan's rows; a frame within which the file ends is not. Throws InputError as scan::read_scan.
void read_pictures(const std::filesystem::path& scan, const scan::ReadOptions& options,
                   std::span<const area::FrameRegion> regions, int long_side,
                   const std::function<void(std::size_t, NegativePicture)>& take);

}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <span>

#include "basefog/density/scan_record.hpp"

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

/// Called with a region's place among those asked for and its picture.
using TakeRegion = std::function<void(std::size_t, NegativePicture)>;

/// Pictures of frames on a scan, straight from its pixels, in a second pass over the file: as large
/// as the scan has them, long side at most long_side. Those that options.store has are taken from
/// it, and it keeps the others; with all of them there the file's pixels are not read. Each is
/// handed over once, in any order; a frame within which the file ends is not. Of the options, the
/// layout has no effect. Throws InputError as scan::read_scan.
void read_pictures(const std::filesystem::path& scan, const MeasureOptions& options,
                   std::span<const area::FrameRegion> regions, int long_side,
                   const TakeRegion& take);

}  // namespace basefog::density

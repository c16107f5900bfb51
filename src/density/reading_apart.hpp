// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string_view>

#include "basefog/density/reading_apart.hpp"
#include "basefog/density/scan_record.hpp"
#include "density/negative_picture.hpp"

namespace basefog::density {

/// What the processes of start_reading_apart do with a request.
void answer_reading(std::string_view request, const apart::Answer& answer);

/// measure_scan without a store, in options.read.apart. Never throws over a bad file.
ScanRecord measure_apart(const std::filesystem::path& file, const MeasureOptions& options);

/// read_pictures without a store, in options.apart. Throws InputError as it does.
void read_pictures_apart(const std::filesystem::path& file, const scan::ReadOptions& options,
                         std::span<const area::FrameRegion> regions, int long_side,
                         const TakeRegion& take);

}  // namespace basefog::density

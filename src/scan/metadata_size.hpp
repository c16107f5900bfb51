// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string_view>

namespace basefog::scan {

/// Whether an XMP packet is small enough for the metadata library (limits.hpp): it takes far more
/// memory for an element than the packet does.
bool xmp_within_limits(std::string_view xmp);

/// The same for what the directories of a TIFF or a raw that is built like one say they hold
/// [TIFF6]: Exif, XMP, IPTC, profile and all other values together, and elements of XMP. True for
/// other files and for directories that cannot be read, of which the library reads nothing.
bool tiff_metadata_within_limits(const std::filesystem::path& path);

}  // namespace basefog::scan

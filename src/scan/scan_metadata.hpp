// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>

#include "basefog/scan/scan.hpp"
#include "decode/picture.hpp"

namespace basefog::scan {

/// What the Exif and XMP of a scan say.
struct FileMetadata {
  ScanMetadata scan;
  std::optional<int> orientation;  ///< [Exif, Orientation], 1 to 8
  /// Shutter time x ISO / aperture squared of the camera that made the file, to see whether two
  /// files had the same exposure. Absent for scanners.
  std::optional<double> copy_exposure;
  std::optional<response::Response>
      response;          ///< declared by colour space, interoperability or gamma
  bool ignored = false;  ///< larger than limits.hpp has it, and not read
};

/// Reads metadata with exiv2, one thread at a time. Never throws: what cannot be read is absent.
///
/// Shutter, aperture and the like are kept only where FileSource, the maker or the model say that a
/// scanner made the file, for a scanner has none of its own: they are then the taking camera's,
/// entered later. In a file from a camera they are those of the copy, never of the film.
FileMetadata read_metadata(const std::filesystem::path& path, const decode::Picture& picture);

}  // namespace basefog::scan

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::report {

/// The XMP namespace of basefog's own results, as in basefog manual sidecar. A name, not an
/// address.
inline constexpr const char* kSidecarNamespace = "https://basefog.invalid/ns/review/1/";

/// What is to stand beside one scan for catalogue programs.
struct Sidecar {
  std::filesystem::path scan;  ///< that it is about
  std::string file_name;  ///< "roll03_07.xmp"; with the scan's ending where two scans share a stem
  std::string xmp;        ///< a whole file [XMP, part 3]
};

/// A sidecar for each scan file, in the order of the frames. With one frame on the scan: settings
/// of the taking camera from the log's row in the standard Exif fields, unless the pair is
/// doubtful, and the results in kSidecarNamespace. With several, one structure a frame. What was
/// not measured is left out.
std::vector<Sidecar> sidecars(const roll::Analysis& analysis);

/// Writes all into a folder that is made if need be; files from before are replaced, whole or not
/// at all. Returns the files. Throws InputError (not_writable).
std::vector<std::filesystem::path> write_sidecars(const std::filesystem::path& folder,
                                                  const roll::Analysis& analysis);

/// What became of sidecars beside their scans.
struct SidecarsBeside {
  std::vector<std::filesystem::path> written;  ///< were not there before
  std::vector<std::filesystem::path> kept;     ///< were there before, and stay as they were
};

/// Writes each into the folder of its scan, where the scan is there and no such file is. Throws
/// InputError (not_writable).
SidecarsBeside write_sidecars_beside(const roll::Analysis& analysis);

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "basefog/core/limits.hpp"
#include "basefog/core/quality.hpp"
#include "basefog/decode/block_image.hpp"
#include "basefog/response/response.hpp"

namespace basefog::apart {
class Processes;
}

namespace basefog::scan {

/// What a scan file says of itself; empty or absent where it does not.
struct ScanMetadata {
  std::string make;              ///< of the scanner or camera that made the file
  std::string model;             ///< likewise
  std::string software;          ///< that wrote the file
  std::string date;              ///< ISO 8601, when the film was scanned
  std::string original_date;     ///< ISO 8601, when the picture was taken, if the file says so
  bool made_by_scanner = false;  ///< FileSource or the maker say film or print scanner
  /// Settings of the taking camera, only where the file says that they are (see scan_metadata.cpp).
  std::optional<double> shutter_seconds;
  std::optional<double> f_number;            ///< N
  std::optional<double> iso;                 ///< film speed dialled
  std::optional<double> compensation_stops;  ///< positive: more exposure
  std::optional<double> focal_length_mm;     ///< true, not as on 35 mm
  std::string lens;                          ///< as the file names it
  std::string metering;                      ///< "spot", "centre_weighted", "average", "pattern"
  std::string comment;                       ///< the user's comment
};

/// A scan read in one pass: aperture blocks of linear light and how they came about.
struct Scan {
  std::filesystem::path path;  ///< as given to read_scan
  int width = 0;   ///< pixels, upright; of a file that is cut short, the part that was read
  int height = 0;  ///< pixels, upright
  int bits_per_sample = 16;     ///< of the file
  std::string format;           ///< "TIFF", "JPEG", "PNG", "DNG", ...
  decode::BlockImage blocks;    ///< linear light
  response::Response response;  ///< as which codes were read
  /// True when light is known against the bare lamp (--light), so that 1.0 is no film at all.
  bool light_known = false;
  /// Per channel: light below which one step of the file's codes is more than a tenth of the light
  /// itself (0.04 density), so that dark cannot be separated from black, or where the response's
  /// calibration ends.
  std::vector<double> darkest;
  ScanMetadata metadata;  ///< what the file says of itself
  FlagSet flags;          ///< of the scan as read, film aside
};

/// How a scan is to be read.
struct ReadOptions {
  /// Replaces what the file says. Default: the file's profile or declared space, else an
  /// assumption.
  std::optional<response::Response> response;
  /// A shot of the bare light source with the same camera, size and exposure; divides out
  /// unevenness and gives true transmittance (Scan::light_known).
  std::optional<std::filesystem::path> light;
  /// Most blocks in the block image. The block side is the smallest that stays below.
  int most_blocks = 500'000;
  /// A scan that claims more pixels is refused before any is decoded.
  std::uint64_t most_pixels = limits::kMostPixels;
  /// In whose processes density::measure_scan and density::read_scan read a file; none: in the
  /// caller's. read_scan here always does the latter.
  std::shared_ptr<const apart::Processes> apart;

  /// Empty when usable, otherwise a sentence.
  std::string validate() const;
};

/// Reads one scan in one pass; memory does not grow with the scan but for formats that cannot be
/// read in strips (stated in DEVELOPERS.md).
/// Throws InputError: not_found, unreadable (damaged before any picture), unsupported (by name),
/// usage (options that do not validate, a shot of the light of another size or colour).
Scan read_scan(const std::filesystem::path& path, const ReadOptions& options = {});

/// True for file names that read_scan may take, by extension; used to pick scans from a folder.
bool has_scan_extension(const std::filesystem::path& path);

/// The frame label that a file name carries: "roll12_07.tif" -> "7", "07A.tif" -> "7A"; empty if
/// none.
std::string frame_label(const std::filesystem::path& path);

}  // namespace basefog::scan

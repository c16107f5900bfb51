// SPDX-License-Identifier: GPL-3.0-or-later
// A study of how well frames and base + fog are found: single frames, strips and whole sheets made
// of real panoramas on tabulated film, with dust, scratches, finger marks, edge printing, uneven
// light, flare and film that lies askew; written, read and judged against the simulation.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "basefog/core/quality.hpp"

namespace validation {

/// What lies on the scanner. cropped: to the picture, so that nothing shows the density zero;
/// clipped: exposed so that clear film is at the white limit.
enum class ScanKind { single, strip, sheet, cropped, clipped };
std::string_view name_of(ScanKind kind);
inline constexpr int kScanKinds = 5;

/// One scan: what was there and what was found.
struct AreaOutcome {
  ScanKind kind = ScanKind::single;
  int number = 0;
  std::string what;  ///< format, film, flare: to tell a failure by
  int frames = 0;    ///< that got light and lie wholly in view
  int found = 0;     ///< of them, with an overlap above 0.95
  int invented = 0;  ///< found where no frame is: less than half of it on one
  double least_overlap = 1;
  bool has_base = false;
  double base_error = 0;  ///< density, of the channel that is off most, signed
  double base_sigma = 0;  ///< what was said of that channel
  /// Said that the base is not to be trusted: none, clipped, or doubtful.
  bool base_flagged = false;
  basefog::FlagSet flags;
};

struct AreaStudyOptions {
  std::filesystem::path panoramas;  ///< folder of .exr and .hdr; empty: a few made-up ones
  int scans = 20;                   ///< of each kind
  std::uint64_t seed = 1;
  int first = 0;  ///< number of the first scan
  /// Coarser scans and fewer frames a strip, for a test.
  bool quick = false;
  /// Where to leave the scans; none: they are deleted.
  std::optional<std::filesystem::path> keep;
};

/// Runs one kind; the same numbers on every run, each scan apart from the others.
std::vector<AreaOutcome> run_area_study(ScanKind kind, const AreaStudyOptions& options);

/// How some scans did. Shares of what there was to find.
struct AreaScore {
  int scans = 0;
  int frames = 0;
  int found = 0;
  int invented = 0;
  int bases = 0;          ///< frames on scans with clear film in view
  int close = 0;          ///< of them, base within 0.01 in every channel
  int far_unflagged = 0;  ///< scans off by more than 0.03, or without base, and no word of it
  int no_reference = 0;   ///< scans that show no density zero ...
  int refused = 0;        ///< ... and of which that was said
};
AreaScore score(const std::vector<AreaOutcome>& outcomes);

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::print {

/// How a proof is printed.
enum class ProofStyle {
  straight,   ///< the same exposure for all frames, so that errors show
  corrected,  ///< exposure and grade chosen for each frame, as it could be printed
};

/// The file that a proof is written as.
enum class ProofFormat {
  jpeg,  ///< 8-bit sRGB, or gray with sRGB's tone curve; profile embedded
  tiff,  ///< the same in 16 bit, compressed without loss
};

/// How proofs are printed, and as which files.
struct ProofOptions {
  ProofStyle style = ProofStyle::corrected;  ///< one exposure for all, or each frame its own
  ProofFormat format = ProofFormat::jpeg;    ///< decides the files' ending
  /// Longest side in pixels, 64 or more. Nothing is enlarged; for more than the analysis kept the
  /// scans are read a second time.
  int long_side = 1200;
  int jpeg_quality = 90;  ///< 1 to 100

  /// Empty when usable, otherwise a sentence.
  std::string validate() const;
};

/// Neutral positives of the frames of a roll, from their measured densities, as files in a folder
/// that is made if need be, named as their scans: "roll7_10.jpg"; of a scan with several frames the
/// frame's name follows, "roll7_10" of roll7.tif. Proofs for
/// looking at, not finished prints; no number is taken from them. Colour is balanced on the base
/// and on the roll as a whole. Frames that cannot be printed are left out: without a picture,
/// positives, and for straight proofs those without a density zero. A file of that name from before
/// is replaced, whole or not at all. Returns the files written. Throws InputError (usage,
/// not_writable).
std::vector<std::filesystem::path> write_proofs(const std::filesystem::path& folder,
                                                const roll::Analysis& analysis,
                                                const ProofOptions& options = {});

/// One sheet of straight or corrected proofs in film order, as strips of six on their film, each
/// with its name and what the picture needed. The format and style are the options'; long_side is
/// that of one proof, at most 480. Throws InputError (usage, not_writable).
void write_contact_sheet(const std::filesystem::path& file, const roll::Analysis& analysis,
                         const ProofOptions& options = {});

}  // namespace basefog::print

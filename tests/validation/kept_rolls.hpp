// SPDX-License-Identifier: GPL-3.0-or-later
// Photographing and scanning is what takes the study's time. A roll that was kept can be read again
// in another way within a second.
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "basefog/evidence/exposure_series.hpp"
#include "validation/study.hpp"

namespace validation {

/// What was measured of one frame, and what the log says of it.
struct Measured {
  std::optional<basefog::density::FrameMeasurement> frame;
  basefog::evidence::LoggedExposure logged;
};

/// A roll, photographed, scanned and measured, not yet read.
struct TakenRoll {
  std::vector<Outcome> outcomes;
  std::vector<Measured> measured;
};

void keep(const std::filesystem::path& folder, const TakenRoll& roll);
/// Empty where the folder holds no roll of that many frames. Throws std::runtime_error for one that
/// cannot be read.
std::optional<TakenRoll> kept_roll(const std::filesystem::path& folder, int frames);

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ensemble/grouped_frame.hpp"

namespace basefog::ensemble {

/// A grouped frame in bytes, to be read again by later rolls' knowledge: 1.2 kB of a frame of one
/// layer and one metering, 3.2 kB of one of three layers and three meterings. Densities to 1/8192,
/// weights and shares to 1/65535 of the greatest: readings change by less than 0.005 stop
/// (KeptFrame tests).
std::string keep(const GroupedFrame& frame);

/// Nothing for bytes that keep() cannot have written.
std::optional<GroupedFrame> kept(std::string_view bytes);

}  // namespace basefog::ensemble

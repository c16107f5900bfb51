// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "page/svg_charts.hpp"

namespace basefog::page {

/// Why frames lie half a stop and more from the cross of their speed or stop: a sentence a reason,
/// each frame once. charts: groups_by_shutter and groups_by_aperture.
std::vector<std::string> far_frame_texts(const roll::Analysis& analysis,
                                         std::span<const std::vector<BiasGroup>> charts);

}  // namespace basefog::page

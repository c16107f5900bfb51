// SPDX-License-Identifier: GPL-3.0-or-later
// What a log leaves in doubt, in sentences.
#pragma once

#include <string>

#include "basefog/log/remark.hpp"
#include "basefog/log/scene_light.hpp"

namespace basefog::report {

/// A remark as one sentence that names the value: "\"fast\" is not a shutter time."
std::string remark_text(const log::LogRemark& remark);

/// What the log says of a scene's light, and what settings and film say instead, as a sentence.
std::string contradiction_text(const log::SceneContradiction& contradiction);

}  // namespace basefog::report

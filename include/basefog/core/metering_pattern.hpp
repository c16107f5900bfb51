// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace basefog {

/// How a camera's meter weighs the frame.
enum class MeteringPattern { average, centre_weighted, spot, unknown };

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace basefog {

/// How a camera's meter weighs the frame.
enum class MeteringPattern {
  average,          ///< all of the frame alike
  centre_weighted,  ///< the middle more than the rest
  spot,             ///< a small circle alone
  unknown,          ///< or one of many fields, which no weights are like
};

}  // namespace basefog

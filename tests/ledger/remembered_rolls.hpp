// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "basefog/meter/bias_history.hpp"

namespace basefog::test {

/// A roll with every field in use.
meter::RememberedRoll remembered(const std::string& name, const std::string& camera = "black one",
                                 int frames = 36);

/// Fails the test where a roll is not as remembered() made it.
void expect_same(const meter::RememberedRoll& found, const meter::RememberedRoll& wanted);

}  // namespace basefog::test

// SPDX-License-Identifier: GPL-3.0-or-later
// Warnings in sentences: the flag's own text, or a more precise one with what is known.
#pragma once

#include <string>

#include "basefog/roll/warning.hpp"

namespace basefog::report {

std::string warning_text(const roll::Warning& warning);
std::string next_step_text(const roll::Warning& warning);

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/log/equivalents.hpp"

namespace basefog::report {

/// "1/125 f/4: depth of field about 50 % of before.": what to set and what it costs.
std::string replacement_text(const log::Replacement& replacement);

/// Why there is none, and what to do instead.
std::string no_replacement_text(log::NoReplacement why);

/// The options, or why there are none; empty where none were looked for.
std::vector<std::string> replacement_texts(const log::Replacements& replacements);

}  // namespace basefog::report

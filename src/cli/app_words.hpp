// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "manual/command_words.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of a command and of all below it, in the order in which they were defined.
manual::CommandWords words_of(const CLI::App& app);

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "manual/command_words.hpp"
#include "manual/text_blocks.hpp"

namespace basefog::manual {

/// All topics of the manual: the program's own commands, then the files in topics/.
std::vector<std::string> topic_names();

/// The topics with their titles, for a terminal.
std::string topic_list();

/// The page about a topic, which is one of `topic_names()`; another throws std::out_of_range.
ManualPage manual_page(const CommandWords& program, const std::string& topic);

/// A page for a terminal of 80 columns.
std::string terminal_page(const ManualPage& page);

/// A page's source for man.
std::string man_page(const ManualPage& page);

}  // namespace basefog::manual

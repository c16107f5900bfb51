// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace basefog::cli {

/// `basefog desk`: a roll, or a folder of rolls, to be worked on in the browser.
void add_desk_command(CLI::App& app, int& status);

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

#include "core/file_keys.hpp"

namespace basefog::manual {

/// All keys of a settings file. Each is the option of that name; names of files are taken from the
/// folder of the settings file.
inline constexpr auto kSettingsKeys = std::to_array<FileKey>({
    {"", "camera", "\"black.toml\"", "", "Camera file"},
    {"", "film", "\"bw\"", "", "The film's kind, or a film profile"},
    {"", "film_speed", "400", "",
     "The film's own ISO speed, over what the log says; in the roll's own file alone"},
    {"", "response", "\"scanner.toml\"", "",
     "How codes stand for light: linear, srgb, gamma=N, or a response file such as basefog "
     "calibrate scanner makes"},
    {"", "ledger", "\"ledger.db\"", "", "The ledger's file"},
    {"", "out", "\"result\"", "", "Folder for the results of basefog review"},
    {"", "style", "\"list\"", "", "How frames are listed: table, wide or list"},
    {"", "cache", "\"off\"", "", "Whether measured scans are kept for the next run: on or off"},
    {"scanner", "name", "\"MAKER MODEL\"", "",
     "Words of the maker and model that its files carry; must be there"},
    {"scanner", "response", "\"scanner.toml\"", "", "As above, for scans that name this scanner"},
});

}  // namespace basefog::manual

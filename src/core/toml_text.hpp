// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <string>
#include <string_view>

namespace basefog {

/// The tables of a TOML text; path and next_step for the errors about it. Throws InputError
/// (malformed) for what is no TOML, with its line, and for names of so many parts that their tables
/// would lie too deep to be taken apart again.
toml::table parse_toml(std::string_view text, const std::filesystem::path& path,
                       const std::string& next_step);

}  // namespace basefog

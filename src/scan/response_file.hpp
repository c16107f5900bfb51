// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "basefog/response.hpp"

namespace basefog {

/// Reads a response file (TOML, schema "basefog.response/1", see DEVELOPERS.md) as written by
/// write_response_file or by hand. Throws InputError (not_found, unreadable, malformed).
Response read_response_file(const std::filesystem::path& path);

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string_view>

namespace basefog {

/// Writes a file whole or not at all: to a part file in the same folder, flushed to disk, then
/// renamed over `path`. Missing folders are made. Throws InputError (not_writable); then `path` is
/// as it was before. A run that is killed may leave its part file, hidden and named
/// .basefog-*.part; the next one that writes `path` uses it up. Of two runs at the same time one
/// waits.
void write_whole_file(const std::filesystem::path& path, std::string_view content);

/// The same, but never over a file that is there: then nothing is written and false is returned.
bool write_new_file(const std::filesystem::path& path, std::string_view content);

}  // namespace basefog

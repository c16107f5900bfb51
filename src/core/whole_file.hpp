// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace basefog {

/// True for what takes bytes as they come and is no file to be replaced: pipes, terminals and other
/// character devices, sockets, and the process's own descriptors (/dev/stdout, /dev/fd/63),
/// whatever these lead to. A link counts as what it leads to.
bool is_stream(const std::filesystem::path& path);

/// Writes a file whole or not at all: to a part file in the same folder, flushed to disk, then
/// renamed over `path`; where that is a link, over the file that it leads to. A stream (is_stream)
/// is written to as it stands; a block device is refused. Missing folders are made. Throws
/// InputError (not_writable); then `path` is as it was before. A run that is killed may leave its
/// part file, hidden and named .basefog-*.part; the next one that writes `path` uses it up. Of two
/// runs at the same time one waits.
void write_whole_file(const std::filesystem::path& path, std::string_view content);

/// The same, but never over a file that is there: then nothing is written and false is returned.
bool write_new_file(const std::filesystem::path& path, std::string_view content);

/// A file's name of at most `most` bytes: itself where it fits; else both its ends, cut between
/// UTF-8 letters, and between them a number that follows from the whole name, so that two names
/// stay two. most: 60 or more; file systems take 255 (NAME_MAX).
std::string name_within(const std::string& name, std::size_t most);

}  // namespace basefog

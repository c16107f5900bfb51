// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

namespace basefog {

/// What a small file is to the user, for the errors about it.
struct TextFileKind {
  const char* what;  ///< with its article: "a log"
  std::size_t most_bytes;
};

/// The bytes of a file, at most `most_bytes`, whatever its size is said to be. Throws InputError:
/// not_found; unreadable (no file, as a folder or a pipe; no permission; too large).
std::string read_text_file(const std::filesystem::path& path, const TextFileKind& kind);

}  // namespace basefog

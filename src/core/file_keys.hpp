// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace basefog {

/// One key that a kind of TOML file may hold. The reader of the file refuses keys that its table
/// does not name, and the manual prints the same table.
struct FileKey {
  std::string_view section;  ///< "meter" of [meter] or [[meter]]; empty at the top of the file
  std::string_view name;
  std::string_view value;   ///< an example of what may stand there, as written in the file
  std::string_view preset;  ///< what is taken where the key is left out; empty where nothing is
  std::string_view meaning;
};

/// The first key of a table that stands in none of `keys` for that section, nor names a section of
/// theirs.
std::optional<std::string> unknown_key(const toml::table& table, std::string_view section,
                                       std::span<const FileKey> keys);

/// What such a key is not, and which keys there are: "is not a key of a camera file; here they are
/// kind and pattern".
std::string unknown_key_text(std::string_view file_kind, std::string_view section,
                             std::span<const FileKey> keys);

}  // namespace basefog

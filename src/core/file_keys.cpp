// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/file_keys.hpp"

#include <algorithm>
#include <vector>

namespace basefog {
namespace {

/// The keys of a section in order; at the top of the file also the names of its sections.
std::vector<std::string> known_keys(std::string_view section, std::span<const FileKey> keys) {
  std::vector<std::string> names;
  for (const FileKey& key : keys) {
    const bool here = key.section == section;
    if (!here && !section.empty()) continue;
    const std::string name(here ? key.name : key.section);
    if (std::ranges::find(names, name) == names.end()) names.push_back(name);
  }
  return names;
}

}  // namespace

std::optional<std::string> unknown_key(const toml::table& table, std::string_view section,
                                       std::span<const FileKey> keys) {
  const std::vector<std::string> known = known_keys(section, keys);
  for (const auto& [key, node] : table) {
    if (std::ranges::find(known, key.str()) == known.end()) return std::string(key.str());
  }
  return std::nullopt;
}

std::string unknown_key_text(std::string_view file_kind, std::string_view section,
                             std::span<const FileKey> keys) {
  const std::vector<std::string> known = known_keys(section, keys);
  std::string names;
  for (std::size_t i = 0; i < known.size(); ++i) {
    names += (i == 0 ? "" : i + 1 == known.size() ? " and " : ", ") + known[i];
  }
  return "is not a key of " + std::string(file_kind) + "; here they are " + names;
}

}  // namespace basefog

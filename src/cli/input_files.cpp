// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/input_files.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <string>

namespace basefog::cli {

bool is_table_file(const std::filesystem::path& file) {
  std::string ending = file.extension().string();
  for (char& c : ending) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  constexpr auto kEndings = std::to_array<const char*>({".csv", ".tsv", ".txt"});
  return std::ranges::find(kEndings, ending) != kEndings.end();
}

}  // namespace basefog::cli

// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/input_files.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "core/plain_text.hpp"

namespace basefog::cli {

bool is_table_file(const std::filesystem::path& file) {
  const std::string ending = lower_case(file.extension().string());
  constexpr auto kEndings = std::to_array<const char*>({".csv", ".tsv", ".txt"});
  return std::ranges::find(kEndings, ending) != kEndings.end();
}

}  // namespace basefog::cli

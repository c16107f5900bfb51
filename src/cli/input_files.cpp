// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/input_files.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <system_error>

#include "basefog/core/error.hpp"
#include "basefog/density/reading_apart.hpp"
#include "core/plain_text.hpp"

namespace basefog::cli {

bool is_table_file(const std::filesystem::path& file) {
  const std::string ending = lower_case(file.extension().string());
  constexpr auto kEndings = std::to_array<const char*>({".csv", ".tsv", ".txt"});
  return std::ranges::find(kEndings, ending) != kEndings.end();
}

void check_inputs_exist(const std::vector<std::filesystem::path>& inputs) {
  for (const std::filesystem::path& input : inputs) {
    std::error_code error;
    // What cannot be looked at for another reason is reported where it is read.
    if (input == "-") continue;  // standard input
    if (std::filesystem::status(input, error).type() != std::filesystem::file_type::not_found) {
      continue;
    }
    throw InputError(ErrorCode::not_found, input, "does not exist",
                     "check the name and the folder that you are in");
  }
}

std::shared_ptr<const apart::Processes> readers_of_scans() {
  static const std::shared_ptr<const apart::Processes> readers = density::start_reading_apart();
  return readers;
}

}  // namespace basefog::cli

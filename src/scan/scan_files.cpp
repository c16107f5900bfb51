// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_files.hpp"

#include <algorithm>
#include <set>
#include <string>
#include <system_error>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/scan/scan.hpp"
#include "core/plain_text.hpp"

namespace basefog::scan {
namespace fs = std::filesystem;
namespace {

/// Takes a run of digits off the front of `text`, without leading zeros.
std::string_view take_number(std::string_view& text) {
  std::size_t end = 0;
  while (end < text.size() && is_digit(text[end])) ++end;
  std::string_view number = text.substr(0, end);
  text.remove_prefix(end);
  while (number.size() > 1 && number.front() == '0') number.remove_prefix(1);
  return number;
}

/// Regular files of a folder, not deeper.
std::vector<fs::path> files_in(const fs::path& folder,
                               const std::function<bool(const fs::path&)>& wanted) {
  std::vector<fs::path> files;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    std::error_code not_a_file;
    if (it->is_regular_file(not_a_file) && wanted(it->path())) files.push_back(it->path());
  }
  if (error) {
    throw InputError(ErrorCode::unreadable, folder, "cannot be listed (" + error.message() + ")",
                     "check its permissions");
  }
  std::sort(files.begin(), files.end(), [](const fs::path& a, const fs::path& b) {
    return counts_before(a.filename().string(), b.filename().string());
  });
  return files;
}

}  // namespace

bool counts_before(std::string_view a, std::string_view b) {
  const std::string_view whole_a = a;
  const std::string_view whole_b = b;
  while (!a.empty() && !b.empty()) {
    if (is_digit(a.front()) && is_digit(b.front())) {
      const std::string_view number_a = take_number(a);
      const std::string_view number_b = take_number(b);
      if (number_a.size() != number_b.size()) return number_a.size() < number_b.size();
      if (number_a != number_b) return number_a < number_b;
      continue;
    }
    if (a.front() != b.front()) return a.front() < b.front();
    a.remove_prefix(1);
    b.remove_prefix(1);
  }
  if (a.empty() != b.empty()) return a.empty();
  return whole_a < whole_b;  // 07 and 7: any fixed order will do
}

std::vector<fs::path> expanded(const std::vector<fs::path>& inputs,
                               const std::function<bool(const fs::path&)>& wanted) {
  std::vector<fs::path> files;
  std::set<fs::path> seen;
  for (const fs::path& input : inputs) {
    std::error_code error;
    const bool folder = fs::is_directory(input, error);
    for (const fs::path& file : folder ? files_in(input, wanted) : std::vector{input}) {
      const fs::path whole = fs::weakly_canonical(file, error);
      if (seen.insert(error ? file : whole).second) files.push_back(file);
    }
  }
  return files;
}

std::vector<fs::path> find_scans(const std::vector<fs::path>& inputs) {
  std::vector<fs::path> scans = expanded(inputs, has_scan_extension);
  if (scans.empty()) {
    throw InputError(ErrorCode::no_scans, inputs.empty() ? fs::path(".") : inputs.front(),
                     "holds no scans", "name a folder with TIFF, JPEG, PNG, DNG or raw files");
  }
  return scans;
}

void refuse_too_many(std::size_t scans, const fs::path& where) {
  if (scans <= limits::kMostScansInReview) return;
  throw InputError(ErrorCode::usage, where,
                   "holds " + std::to_string(scans) + " scans, and one review takes at most " +
                       std::to_string(limits::kMostScansInReview),
                   "put each roll into a folder of its own and name the folder of them");
}

}  // namespace basefog::scan

// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <regex>
#include <string>

#include "basefog/scan/scan.hpp"
#include "core/plain_text.hpp"
#include "decode/decoder.hpp"

namespace basefog::scan {

bool has_scan_extension(const std::filesystem::path& path) {
  const auto endings = decode::scan_endings();
  return std::ranges::find(endings, lower_case(path.extension().string())) != endings.end();
}

std::string frame_label(const std::filesystem::path& path) {
  // Numbers that are not frames: dates, times of day, the roll's own number.
  static const std::regex other(
      R"((19|20)\d\d[-_.]\d\d[-_.]\d\d([ T_-]+\d\d[-_.:h]\d\d([-_.:m]\d\d)?)?)"
      R"(|(roll|film|strip|sheet|sleeve|page)[ _#-]?\d+)",
      std::regex::icase);
  // The last number of the name, with the A of the half numbers on a film's edge (7, 7A). Up to
  // three digits, so that dates and a camera's counter are not taken for frames.
  static const std::regex number(R"((?:^|[^0-9])0*([0-9]{1,3})([A-Za-z]?)(?![0-9A-Za-z]))");
  const std::string name = std::regex_replace(path.stem().string(), other, " ");
  std::string label;
  for (std::sregex_iterator it(name.begin(), name.end(), number), end; it != end; ++it) {
    label = (*it)[1].str();
    if ((*it)[2] == "a" || (*it)[2] == "A") label += 'A';
  }
  return label;
}

}  // namespace basefog::scan

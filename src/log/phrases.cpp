// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/phrases.hpp"

#include <algorithm>
#include <array>

namespace basefog::log {
namespace {

constexpr auto kTexts = std::to_array<ColumnText>({
#define BASEFOG_COLUMN(kind, name, meaning, heads) {ColumnKind::kind, name, meaning, heads},
#include "log/columns.inc"
#undef BASEFOG_COLUMN
});

}  // namespace

std::span<const ColumnText> column_texts() { return kTexts; }

std::vector<std::string_view> parted_by_bars(std::string_view heads) {
  std::vector<std::string_view> parts;
  std::size_t start = 0;
  while (start <= heads.size()) {
    const std::size_t end = std::min(heads.find('|', start), heads.size());
    parts.push_back(heads.substr(start, end - start));
    start = end + 1;
  }
  return parts;
}

}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
// The words that stand at the head of a log's columns.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "log/header.hpp"

namespace basefog::log {

/// What the cells of a kind of column hold.
struct ColumnText {
  ColumnKind kind;
  std::string_view name;
  std::string_view meaning;  ///< for the manual: a sentence, with examples
  std::string_view heads;    ///< in English, parted by bars
};

/// Every kind but unknown, whose cells are kept as notes.
std::span<const ColumnText> column_texts();

/// Heads of a kind in one language each, words parted by bars, without accents.
struct ForeignHeads {
  ColumnKind kind;
  std::string_view german;
  std::string_view french;
  std::string_view italian;
  std::string_view spanish;
  std::string_view portuguese;
  std::string_view dutch;
};
std::span<const ForeignHeads> foreign_heads();

/// The heads in a text that bars part.
std::vector<std::string_view> parted_by_bars(std::string_view heads);

}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
// What the page is told, and what it says, as JSON. Scans go by numbers, never by names of files.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "desk/roll_desk.hpp"

namespace basefog::desk {

/// What the page shows of a review: its parts, its pictures with their rows, its questions.
std::string page_json(const Reviewed& reviewed, const std::map<std::filesystem::path, int>& ids);

/// All that a window shows; the review's page where it is not number `has`, which the window has.
std::string view_json(const DeskView& view, int has);

/// What the page asks for.
struct Wish {
  int base = 0;  ///< the state that it was asked of
  std::string step;
  std::function<std::optional<Sheet>(const Sheet&)> to;
};

/// A sheet as the page has it. view: which scan has which number. Nothing for what is no such
/// sheet.
std::optional<Wish> sheet_wish(std::string_view body, const DeskView& view);
/// A log that was pasted, in place of all rows.
std::optional<Wish> paste_wish(std::string_view body);
/// An answer to a question that stands in the roll's settings: only words that name no file.
std::optional<Wish> answer_wish(std::string_view body);
/// A change that needs no more than the state that it is of.
std::optional<int> base_of(std::string_view body);

}  // namespace basefog::desk

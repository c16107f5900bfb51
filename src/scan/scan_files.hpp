// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <string_view>
#include <vector>

namespace basefog::scan {

/// The files that files and folders name: files as given, folders expanded to the wanted files in
/// them (not deeper), in the order that a person counts (2 before 10). A file named twice stands
/// once; one that does not exist stays, to be reported when it is read. Throws InputError
/// (unreadable) for a folder that cannot be listed.
std::vector<std::filesystem::path> expanded(
    const std::vector<std::filesystem::path>& inputs,
    const std::function<bool(const std::filesystem::path&)>& wanted);

/// The scans that files and folders name, in film order: of folders, the files with a scan's
/// extension. Throws InputError as expanded, and no_scans when nothing remains.
std::vector<std::filesystem::path> find_scans(const std::vector<std::filesystem::path>& inputs);

/// True where a comes before b as a person counts: runs of digits compare as numbers.
bool counts_before(std::string_view a, std::string_view b);

/// One review keeps all its frames and compares them with one another. Throws InputError (usage)
/// above limits::kMostScansInReview.
void refuse_too_many(std::size_t scans, const std::filesystem::path& where);

}  // namespace basefog::scan

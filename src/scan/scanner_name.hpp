// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

namespace basefog::scan {

/// Maker and model of the scanner that made a file, "MAKER MODEL", by its metadata alone: no
/// picture is decoded. Empty where the file names none, was made by a camera, or cannot be opened.
std::string scanner_name(const std::filesystem::path& file);

}  // namespace basefog::scan

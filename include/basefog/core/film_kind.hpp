// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

namespace basefog {

enum class FilmKind { black_and_white, chromogenic, colour_negative };
std::string_view name_of(FilmKind kind);  ///< as in JSON

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/film_kind.hpp"

#include <array>

#include "core/name_list.hpp"

namespace basefog {

std::string_view name_of(FilmKind kind) {
  return name_in(
      std::to_array<std::string_view>({"black_and_white", "chromogenic", "colour_negative"}), kind);
}

}  // namespace basefog

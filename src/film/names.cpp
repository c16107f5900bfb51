// SPDX-License-Identifier: GPL-3.0-or-later
// The names of this layer's closed lists, as JSON, CSV and reports spell them.
#include <array>

#include "basefog/density.hpp"
#include "basefog/film_base.hpp"
#include "core/name_list.hpp"

namespace basefog {
std::string_view name_of(ReferenceKind kind) {
  return name_in(std::to_array<std::string_view>({"rebate", "base_scan", "roll", "given", "none"}),
                 kind);
}

std::string_view name_of(FilmKind kind) {
  return name_in(
      std::to_array<std::string_view>({"black_and_white", "chromogenic", "colour_negative"}), kind);
}

std::string_view name_of(FrameState state) {
  return name_in(std::to_array<std::string_view>(
                     {"measured", "blank", "no_reference", "positive", "unreadable"}),
                 state);
}

}  // namespace basefog

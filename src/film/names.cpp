// SPDX-License-Identifier: GPL-3.0-or-later
// The names of this layer's closed lists, as JSON, CSV and reports spell them.
#include <array>

#include "basefog/density.hpp"
#include "basefog/film_base.hpp"

namespace basefog {
namespace {

template <class Enum, std::size_t N>
std::string_view at(const std::array<std::string_view, N>& names, Enum value) {
  return names.at(static_cast<std::size_t>(value));
}

}  // namespace

std::string_view name_of(ReferenceKind kind) {
  return at(std::to_array<std::string_view>({"rebate", "base_scan", "roll", "given", "none"}),
            kind);
}

std::string_view name_of(FilmKind kind) {
  return at(std::to_array<std::string_view>({"black_and_white", "chromogenic", "colour_negative"}),
            kind);
}

std::string_view name_of(FrameState state) {
  return at(std::to_array<std::string_view>(
                {"measured", "blank", "no_reference", "positive", "unreadable"}),
            state);
}

}  // namespace basefog

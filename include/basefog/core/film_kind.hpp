// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace basefog {

/// What kind of negative film it is, which decides its layers and its speed density.
enum class FilmKind {
  black_and_white,  ///< one layer of silver; speed by ISO 6
  chromogenic,      ///< black-and-white in dye, as for colour processing; speed by ISO 6
  colour_negative,  ///< three layers of dye under an orange mask; speed by ISO 5800
};
constexpr FilmKind last_of(FilmKind) { return FilmKind::colour_negative; }

/// The names of a film kind.
struct FilmKindText {
  std::string_view name;         ///< as in JSON
  std::string_view word;         ///< as in --film and film profiles
  std::string_view description;  ///< for people
};
/// In order of FilmKind.
inline constexpr auto kFilmKindTexts = std::to_array<FilmKindText>({
    {"black_and_white", "bw", "black-and-white negative"},
    {"chromogenic", "chromogenic", "chromogenic black-and-white negative"},
    {"colour_negative", "colour", "colour negative"},
});

const FilmKindText& text_of(FilmKind kind);  ///< stays valid
std::string_view name_of(FilmKind kind);     ///< as in JSON

/// The kind that a word of --film or of a film profile names.
std::optional<FilmKind> film_kind_of(std::string_view word);

/// All those words: "bw|chromogenic|colour".
std::string film_kind_words(std::string_view between);

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/film_kind.hpp"

#include "basefog/core/enum_array.hpp"

namespace basefog {

static_assert(kFilmKindTexts.size() == kCountOf<FilmKind>);

const FilmKindText& text_of(FilmKind kind) {
  return kFilmKindTexts.at(static_cast<std::size_t>(kind));
}

std::string_view name_of(FilmKind kind) { return text_of(kind).name; }

std::optional<FilmKind> film_kind_of(std::string_view word) {
  for (const FilmKind kind : every<FilmKind>()) {
    if (text_of(kind).word == word) return kind;
  }
  return std::nullopt;
}

std::string film_kind_words(std::string_view between) {
  std::string words;
  for (const FilmKindText& text : kFilmKindTexts) {
    words += std::string(words.empty() ? "" : between) + std::string(text.word);
  }
  return words;
}

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/header.hpp"

#include <algorithm>
#include <array>

#include "core/plain_text.hpp"
#include "log/phrases.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;

/// Lower case, without brackets and the points of abbreviations; dashes and low lines as spaces.
std::string plain_head(std::string_view head) {
  std::string plain = plain_form(head);
  const bool signs = plain.find_first_of("+") != std::string::npos;
  for (char& c : plain) {
    if (c == '_' || c == ':' || c == '"' || c == '\'' || (c == '-' && !signs) || c == '.' ||
        c == '(' || c == ')' || c == '[' || c == ']' || c == '{' || c == '}' || c == '*') {
      c = ' ';
    }
  }
  return plain_form(plain);
}

bool take_out(std::string& words, std::string_view word) {
  for (std::size_t at = words.find(word); at != std::string::npos; at = words.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    const bool starts = at == 0 || words[at - 1] == ' ';
    const bool ends = end == words.size() || words[end] == ' ';
    if (!starts || !ends) continue;
    words.erase(at, word.size());
    words = plain_form(words);
    return true;
  }
  return false;
}

bool take_any_out(std::string& words, std::initializer_list<std::string_view> candidates) {
  bool any = false;
  for (const std::string_view word : candidates) any |= take_out(words, word);
  return any;
}

/// Latin letters without their accents.
std::string without_accents(std::string_view words) {
  // U+00C0 to U+00DF; U+00E0 to U+00FF are the same in lower case.
  constexpr std::string_view kPlain = "aaaaaaaceeeeiiiidnoooooxouuuuyts";
  std::string plain;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto next = i + 1 < words.size() ? static_cast<unsigned char>(words[i + 1]) : 0U;
    if (static_cast<unsigned char>(words[i]) == 0xc3 && next >= 0x80 && next <= 0xbf) {
      plain += kPlain[(next - 0x80) % kPlain.size()];
      ++i;
    } else {
      plain += words[i];
    }
  }
  return plain;
}

bool among(std::string_view words, std::string_view heads) {
  const std::vector<std::string_view> parts = parted_by_bars(heads);
  return std::ranges::find(parts, words) != parts.end();
}

ColumnKind kind_of(std::string_view words) {
  for (const ColumnText& column : column_texts()) {
    if (among(words, column.heads)) return column.kind;
  }
  const std::string plain = without_accents(words);
  for (const ForeignHeads& heads : foreign_heads()) {
    for (const std::string_view language : {heads.german, heads.french, heads.italian,
                                            heads.spanish, heads.portuguese, heads.dutch}) {
      if (among(plain, language)) return heads.kind;
    }
  }
  return unknown;
}

/// A word that settles the kind even among words that are not known.
ColumnKind kind_by_one_word(std::string words) {
  struct Phrase {
    std::string_view words;
    ColumnKind kind;
  };
  constexpr auto kTelling = std::to_array<Phrase>({{"compensation", compensation},
                                                   {"shutter", shutter},
                                                   {"aperture", aperture},
                                                   {"f stop", aperture},
                                                   {"iso", speed},
                                                   {"asa", speed},
                                                   {"ei", speed},
                                                   {"lens", lens},
                                                   {"filter", filter},
                                                   {"notes", note},
                                                   {"note", note},
                                                   {"comments", note},
                                                   {"subject", scene},
                                                   {"scene", scene},
                                                   {"frame", frame}});
  for (const Phrase& phrase : kTelling) {
    if (take_out(words, phrase.words)) return phrase.kind;
  }
  return unknown;
}

bool is_setting(ColumnKind kind) {
  return kind == shutter || kind == aperture || kind == settings || kind == speed ||
         kind == compensation || kind == mode;
}

bool has(const std::vector<Column>& columns, ColumnKind kind) {
  return std::ranges::find(columns, kind, &Column::kind) != columns.end();
}

/// Heads that mean two things, by the other columns.
void settle_double_meanings(std::vector<Column>& columns) {
  const auto sure_shutter = [](const Column& c) {
    const std::string head = plain_head(c.header);
    return c.kind == shutter && head != "time" && head != "speed" && head != "t";
  };
  bool shutter_known = std::ranges::any_of(columns, sure_shutter);
  const bool speed_known = has(columns, speed) || has(columns, film_speed);
  const bool parts = shutter_known || has(columns, aperture);
  for (Column& column : columns) {
    const std::string head = plain_head(column.header);
    if (head == "speed" && shutter_known && !speed_known) column.kind = speed;
    if (head == "speed" && !shutter_known) shutter_known = column.kind == shutter;
  }
  for (Column& column : columns) {
    const std::string head = plain_head(column.header);
    if (head == "time" && shutter_known) column.kind = time_of_day;
    if ((head == "exposure" || head == "exp" || head == "exposures") && parts) {
      column.kind = has(columns, frame) ? compensation : frame;
    }
    if (column.kind == film_speed && !has(columns, speed)) column.kind = speed;
  }
}

void drop_repeated(std::vector<Column>& columns) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (holds_words(columns[i].kind)) continue;
    for (std::size_t k = 0; k < i; ++k) {
      if (columns[k].kind == columns[i].kind && columns[k].metered == columns[i].metered) {
        columns[i].kind = unknown;
      }
    }
  }
}

}  // namespace

std::string meaning_of(const Column& column) {
  const auto found = std::ranges::find(column_texts(), column.kind, &ColumnText::kind);
  const std::string name(found == column_texts().end() ? "note" : found->name);
  return column.metered ? "metered " + name : name;
}

Column read_column_head(std::string_view head) {
  constexpr std::size_t kLongestHead = 40;  // letters; more is a sentence
  Column column;
  column.header = std::string(trimmed(head));
  if (column.header.size() > kLongestHead) return column;
  std::string words = plain_head(head);
  if (words.empty()) return column;
  column.kind = kind_of(words);
  column.in_degrees = words == "din";
  column.neutral_density = words.starts_with("nd");
  if (column.kind == unknown) {
    column.in_fractions = take_any_out(words, {"1/s", "1/x", "1/sec", "1/n"});
    column.in_seconds = take_any_out(words, {"s", "sec", "secs", "seconds", "in seconds"});
    take_any_out(words, {"mm", "ev", "stops", "in mm"});
    column.metered = take_any_out(words, {"metered", "meter", "measured", "suggested", "indicated",
                                          "recommended", "reading", "read", "meter reading"});
    take_any_out(words, {"used", "actual", "set", "dialled", "dialed", "final", "given", "taken",
                         "chosen", "the", "my", "value"});
    column.kind = words.empty() && column.metered ? settings : kind_of(words);
    if (column.kind == unknown) column.kind = kind_by_one_word(words);
    if (column.kind == unknown || !is_setting(column.kind)) column.metered = false;
  }
  column.in_seconds |= column.kind == shutter && plain_head(head).starts_with("sec");
  return column;
}

std::optional<std::vector<Column>> read_header(const LogLine& line) {
  const auto filled =
      std::ranges::count_if(line.cells, [](const std::string& cell) { return !cell.empty(); });
  // A line of hundreds of cells is some other table.
  constexpr std::size_t kMostColumns = 200;
  if (filled < 2 || line.cells.size() > kMostColumns) return std::nullopt;
  std::vector<Column> columns;
  for (const std::string& cell : line.cells) columns.push_back(read_column_head(cell));
  settle_double_meanings(columns);
  drop_repeated(columns);
  const auto known =
      std::ranges::count_if(columns, [](const Column& column) { return column.kind != unknown; });
  const auto setting =
      std::ranges::count_if(columns, [](const Column& column) { return is_setting(column.kind); });
  if (known < 2 || setting < 1) return std::nullopt;
  return columns;
}

std::optional<RollFact> read_roll_fact(const LogLine& line) {
  std::string name;
  std::string value;
  if (line.cells.empty()) return std::nullopt;
  std::string_view first = trimmed(line.cells.front());
  while (first.starts_with('#') || first.starts_with('/') || first.starts_with('%')) {
    first = trimmed(first.substr(1));
  }
  const std::size_t colon = first.find_first_of(":=");
  if (colon != std::string_view::npos) {
    name = first.substr(0, colon);
    value = trimmed(first.substr(colon + 1));
  } else {
    name = first;
  }
  for (std::size_t i = 1; i < line.cells.size(); ++i) {
    if (line.cells[i].empty()) continue;
    if (!value.empty()) value += ", ";
    value += line.cells[i];
  }
  RollFact fact{read_column_head(name), value};
  if (fact.column.kind == unknown || value.empty()) return std::nullopt;
  return fact;
}

}  // namespace basefog::log

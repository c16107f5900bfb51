// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

// Pages of text as a list of blocks: help is printed from them, the manual also as source for man.
namespace basefog::manual {

struct TextBlock {
  enum class Kind { heading, subheading, paragraph, example, entry };
  Kind kind = Kind::paragraph;
  std::string text;   ///< an example's lines stay as they are
  std::string term;   ///< of an entry: what it explains
  std::string value;  ///< of an entry: what follows the term, "FILE"
};
using TextBlocks = std::vector<TextBlock>;

/// Blocks of a text. "# " begins a heading, "## " one below it, "* TERM | text" an entry, which
/// ends at an empty line or the next; lines that begin with two spaces are an example; the rest are
/// paragraphs, divided by empty lines.
TextBlocks parse_blocks(const std::string& text);

/// For a terminal of 80 columns. What an entry says stands at `column`, beside its term or below
/// it.
std::string terminal_text(const TextBlocks& blocks, std::size_t column);

/// A page of the manual.
struct ManualPage {
  std::string name;     ///< "basefog-camera"
  std::string section;  ///< "5"
  std::string title;    ///< what it is about, without a final stop
  TextBlocks blocks;
};

/// A page in the man macros of roff, as man and mandoc read them; `see_also` names all pages as
/// "basefog-camera(5)". ASCII only.
std::string roff_page(const ManualPage& page, const std::vector<std::string>& see_also);

}  // namespace basefog::manual

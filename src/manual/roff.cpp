// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <sstream>

#include "basefog/core/version.hpp"
#include "core/plain_text.hpp"
#include "manual/text_blocks.hpp"
#include "report/markup.hpp"

namespace basefog::manual {
namespace {

using Kind = TextBlock::Kind;

/// Of the last change of the manual's words; not of the build, so that builds repeat.
constexpr const char* kDate = "2026-11-30";

/// A line that roff prints as it is: no escapes, no requests, hyphens as typed.
std::string roff(const std::string& line) {
  std::string out = line.starts_with('.') || line.starts_with('\'') ? "\\&" : "";
  for (const char c : line) {
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string roff_lines(const std::string& text, std::size_t indent) {
  std::string out;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    out += roff(line.substr(std::min(indent, line.size()))) + '\n';
  }
  return out;
}

/// Text in lines of at most 72 letters: roff fills them anew.
std::string filled(const std::string& text) { return roff_lines(report::wrap(text, 72, 0), 0); }

std::string example(const std::string& text) {
  return ".nf\n.RS\n" + roff_lines(text, 2) + ".RE\n.fi\n";
}

std::string entry(const TextBlock& block) {
  const std::string value = block.value.empty() ? "" : " \\fI" + roff(block.value) + "\\fR";
  return ".TP\n\\fB" + roff(block.term) + "\\fR" + value + '\n' + filled(block.text);
}

/// What stands for a block behind one of the kind `last`; a heading begins a paragraph by itself.
std::string source_of(const TextBlock& block, Kind last) {
  const bool after_heading = last == Kind::heading || last == Kind::subheading;
  const std::string apart = after_heading ? "" : ".PP\n";
  switch (block.kind) {
    case Kind::heading:
      return ".SH " + roff(block.text) + '\n';
    case Kind::subheading:
      return ".SS " + roff(block.text) + '\n';
    case Kind::paragraph:
      return apart + filled(block.text);
    case Kind::example:
      return apart + example(block.text);
    case Kind::entry:
      return entry(block);
  }
  return "";
}

}  // namespace

std::string roff_page(const ManualPage& page, const std::vector<std::string>& see_also) {
  std::string out = ".TH " + upper_case(page.name) + ' ' + page.section + ' ' + kDate +
                    " \"basefog " + kVersion + "\" \"basefog manual\"\n.SH NAME\n" +
                    roff(page.name) + " \\- " + filled(page.title) + ".SH DESCRIPTION\n";
  Kind last = Kind::heading;
  for (const TextBlock& block : page.blocks) {
    out += source_of(block, last);
    last = block.kind;
  }
  std::string others;
  for (const std::string& other : see_also) {
    if (other == page.name + "(" + page.section + ")") continue;
    others += (others.empty() ? "" : ", ") + other;
  }
  return out + ".SH SEE ALSO\n" + filled(others);
}

}  // namespace basefog::manual

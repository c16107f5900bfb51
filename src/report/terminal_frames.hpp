// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "basefog/report/report.hpp"

namespace basefog::report {

/// SGR sequences [ECMA48]; empty without colour.
struct Ink {
  explicit Ink(bool colour);
  const char* bold;
  const char* faint;
  const char* under;
  const char* over;
  const char* end;
};

/// Places by which sentences stand in from their heading.
inline constexpr int kIndent = 2;

/// A heading and sentences below it, each made printable and wrapped; nothing without sentences.
void write_part(std::ostream& out, const char* heading, const std::vector<std::string>& sentences,
                int width, const Ink& ink);

/// A narrower table has no ruler.
inline constexpr int kLeastWithRuler = 96;

/// The layout that a terminal of that width has room for.
TableLayout fitting(TableLayout wanted, int width);

/// The frames of a roll, one after another, in a layout that fits.
void write_frames(std::ostream& out, const roll::Analysis& analysis, TableLayout layout, int width,
                  const Ink& ink);

}  // namespace basefog::report

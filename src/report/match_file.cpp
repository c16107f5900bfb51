// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>

#include "basefog/report/report.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// A name as a field; an apostrophe keeps one that begins with '#' from being a comment, as
/// csv_text keeps others from being formulas.
std::string name_field(const std::string& name) {
  return csv_text(name.starts_with('#') ? "'" + name : name);
}

}  // namespace

void write_match_file(std::ostream& out, const roll::Analysis& analysis) {
  out << "# Where a scan has another row, write the frame as the log names it, or nothing where "
         "the "
         "log has none,\r\n# and yes in the column fixed. Lines without yes are left to the "
         "matching.\r\n"
         "file,frame,fixed,probability,remark\r\n";
  if (!analysis.log || !analysis.matching) return;
  const std::vector<matching::FrameMatch>& matches = analysis.matching->frames;
  for (std::size_t i = 0; i < std::min(analysis.frames.size(), matches.size()); ++i) {
    const matching::FrameMatch& match = matches[i];
    out << name_field(file_and_index(analysis, i)) << ','
        << (match.row ? name_field(matching::row_name(*analysis.log, *match.row)) : "") << ','
        << (match.fixed ? "yes" : "") << ',' << fmt::format("{:.3f}", match.probability) << ','
        << csv_text(possible_rows_text(analysis, i)) << "\r\n";
  }
}

}  // namespace basefog::report

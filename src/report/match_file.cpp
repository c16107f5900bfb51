// SPDX-License-Identifier: GPL-3.0-or-later
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

std::string remark_of(const roll::Analysis& analysis, std::size_t place,
                      const matching::FrameMatch& match) {
  if (match.fixed) return "fixed";
  return match.doubtful ? possible_rows_text(analysis, place) : "";
}

}  // namespace

void write_match_file(std::ostream& out, const roll::Analysis& analysis) {
  out << "# Correct the frame of a scan as the log names it; leave it empty where the log has none."
      << "\r\n# Lines that you delete are left to the matching.\r\n";
  out << "file,frame,remark\r\n";
  if (!analysis.log || !analysis.matching) return;
  const std::vector<matching::FrameMatch>& matches = analysis.matching->frames;
  for (std::size_t i = 0; i < std::min(analysis.frames.size(), matches.size()); ++i) {
    const auto& row = matches[i].row;
    out << name_field(file_and_index(analysis, i)) << ','
        << (row ? name_field(matching::row_name(*analysis.log, *row)) : "") << ','
        << csv_text(remark_of(analysis, i, matches[i])) << "\r\n";
  }
}

}  // namespace basefog::report

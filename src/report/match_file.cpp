// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace {

std::string remark_of(const Analysis& analysis, std::size_t place) {
  const FrameMatch& match = analysis.matching->frames[place];
  if (match.fixed) return "fixed";
  return match.doubtful ? report::possible_rows_text(analysis, place) : "";
}

}  // namespace

void write_match_file(std::ostream& out, const Analysis& analysis) {
  out << "# Correct the frame of a scan as the log names it; leave it empty where the log has none."
      << "\r\n# Lines that you delete are left to the matching.\r\n";
  out << "file,frame,remark\r\n";
  if (!analysis.log || !analysis.matching) return;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const auto& row = analysis.matching->frames[i].row;
    out << report::csv_text(report::file_and_index(analysis, i)) << ','
        << (row ? report::csv_text(row_name(*analysis.log, *row)) : "") << ','
        << report::csv_text(remark_of(analysis, i)) << "\r\n";
  }
}

}  // namespace basefog

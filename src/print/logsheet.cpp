// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/logsheet.hpp"

#include <fmt/format.h>

#include <vector>

#include "basefog/core/error.hpp"
#include "report/markup.hpp"

namespace basefog::print {
namespace {

constexpr int kMostFrames = 400;

template <class Mark>
std::string listed(const std::vector<Mark>& marks) {
  std::string text;
  for (const Mark mark : marks) text += (text.empty() ? "" : " ") + as_marked(mark);
  return text;
}

/// One line above the table, in one cell, so that separators in names do no harm.
void write_fact(std::ostream& out, std::string_view name, const std::string& value) {
  out << report::csv_text(fmt::format("{}: {}", name, report::printable(value))) << "\r\n";
}

}  // namespace

std::string LogsheetOptions::validate() const {
  if (frames < 1 || frames > kMostFrames) return "a log has 1 to 400 rows";
  if (first_frame < 0 || first_frame > kMostFrames) return "the first frame is number 0 to 400";
  return "";
}

void check(const LogsheetOptions& options, int page) {
  std::string problem = options.validate();
  if (problem.empty() && (page < 1 || page > logsheet_pages(options))) {
    problem = "this log has no page " + std::to_string(page);
  }
  if (!problem.empty()) throw InputError(ErrorCode::usage, {}, problem, "choose another number");
}

std::string speed_text(const std::optional<FilmSpeed>& speed) {
  return speed ? as_marked(*speed) : "";
}

void write_logsheet_csv(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options) {
  check(options);
  write_fact(out, "roll", options.roll);
  write_fact(out, "film", options.film);
  write_fact(out, "film speed", speed_text(options.film_speed));
  write_fact(out, "EI", speed_text(options.ei));
  write_fact(out, "camera", camera.name);
  write_fact(out, "# marked times", listed(camera.shutter));
  write_fact(out, "# marked stops", listed(log::all_stops(camera)));
  out << "frame,metered shutter,metered aperture,used shutter,used aperture,compensation,mode,"
         "lens,filter,scene,notes\r\n";
  for (int i = 0; i < options.frames; ++i) out << options.first_frame + i << ",,,,,,,,,,\r\n";
}

}  // namespace basefog::print

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/layout_report.hpp"

#include <fmt/format.h>

#include <string>

#include "basefog/core/estimate.hpp"
#include "report/markup.hpp"

namespace basefog::report {
namespace {

std::string base_text(const density::FilmBase& base) {
  if (base.kind == density::ReferenceKind::none) return "none";
  std::string out;
  for (std::size_t c = 0; c < base.density.size(); ++c) {
    out += fmt::format("{}{:.3f} +- {:.3f}", c > 0 ? ", " : "", base.density[c].value(),
                       kNormal975 * base.sigma[c].value());
  }
  return out + " (95 %)";
}

}  // namespace

void write_layout(std::ostream& out, const scan::Scan& scan, const area::FilmLayout& layout,
                  const std::vector<density::FrameMeasurement>& frames) {
  out << fmt::format("{}: {} x {} pixels, {}, {} bits, {}\n",
                     printable(scan.path.filename().string()), scan.width, scan.height, scan.format,
                     scan.bits_per_sample, scan.blocks.channels == 3 ? "colour" : "gray");
  if (!frames.empty()) {
    out << "  clear film against full scale: " << base_text(frames.front().rebate) << "\n";
  }
  for (std::size_t s = 0; s < layout.strips.size(); ++s) {
    const area::FilmStrip& strip = layout.strips[s];
    if (layout.strips.size() > 1) out << fmt::format("  strip {}\n", s + 1);
    for (std::size_t i = strip.first; i < strip.first + strip.frames; ++i) {
      const area::FrameRegion& r = layout.frames[i];
      out << fmt::format(
          "  frame {:2}: centre {:.0f}, {:.0f}; {:.0f} x {:.0f} pixels; turned {:+.1f} degrees; "
          "{}\n",
          i + 1, r.centre_x, r.centre_y, r.width, r.height, r.angle_degrees,
          i < frames.size() ? name_of(frames[i].state) : std::string_view("not measured"));
    }
  }
  for (const area::FrameRegion& film : layout.frameless) {
    out << fmt::format("  film without a frame: centre {:.0f}, {:.0f}; {:.0f} x {:.0f} pixels\n",
                       film.centre_x, film.centre_y, film.width, film.height);
  }
  FlagSet flags = layout.flags;
  for (const density::FrameMeasurement& frame : frames) flags.insert(frame.flags);
  for (const Flag flag : flags.list()) {
    const FlagText& text = text_of(flag);
    out << fmt::format("  {}: {} {}\n", text.short_text, text.long_text, text.next_step);
  }
}

}  // namespace basefog::report

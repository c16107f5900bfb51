// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/equivalents_table.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>

#include "report/markup.hpp"
#include "report/terminal_frames.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

std::string times_text(double ratio) {
  return std::abs(std::log2(ratio)) < 0.1 ? "the same" : fmt::format("{:.2g} x", ratio);
}

}  // namespace

void write_equivalents_table(std::ostream& out, const log::EquivalentQuestion& question,
                             std::span<const log::EquivalentSettings> settings,
                             const TerminalStyle& style) {
  const Ink ink(style.colour);
  out << fmt::format("From {} {}, {} stops:\n", as_marked(question.shutter),
                     as_marked(question.aperture), signed_stops(question.wanted));
  if (settings.empty()) {
    out << "No marked time and stop give that exposure.\n";
    return;
  }
  out << ink.bold
      << fmt::format("{:<8} {:<6} {:>8} {:>6}  {:<10} {:<10}", "time (s)", "stop", "stops", "off",
                     "blur", "depth")
      << ink.end << '\n';
  for (const log::EquivalentSettings& s : settings) {
    std::string line = fmt::format("{:<8} {:<6} {:>8} {:>6}  {:<10} {:<10}", as_marked(s.shutter),
                                   as_marked(s.aperture), signed_stops(s.change),
                                   std::abs(s.off.value()) < 0.05 ? "" : signed_stops(s.off),
                                   times_text(s.blur), times_text(s.depth_of_field));
    if (s.below_hand_hold) line += " tripod";
    line.erase(line.find_last_not_of(' ') + 1);
    out << line << '\n';
  }
  out << wrap(
      "Stops: exposure against the settings given. Off: more or less than wanted. Blur: how far "
      "movement smears. Depth: the zone of sharpness, for subjects that are not far off. Tripod: "
      "longer than hands hold still.",
      style.columns, 0);
}

}  // namespace basefog::report

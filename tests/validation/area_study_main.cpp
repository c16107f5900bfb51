// SPDX-License-Identifier: GPL-3.0-or-later
// area_study FOLDER: prints how well frames and base + fog are found on simulated scans, by kind,
// as a Markdown table.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <iostream>
#include <string>

#include "validation/area_study.hpp"

namespace {

using validation::AreaOutcome;
using validation::AreaScore;
using validation::ScanKind;

struct Arguments {
  validation::AreaStudyOptions study;
  std::string only;
  bool each = false;
};

void add_words(CLI::App& app, Arguments& arguments) {
  validation::AreaStudyOptions& study = arguments.study;
  app.add_option("panoramas", study.panoramas, "folder of .exr and .hdr; none: made-up ones");
  app.add_option("--scans", study.scans, "of each kind");
  app.add_option("--first", study.first, "number of the first scan");
  app.add_option("--seed", study.seed);
  app.add_option("--only", arguments.only, "this kind");
  app.add_flag("--quick", study.quick, "smaller scans");
  app.add_flag("--each", arguments.each, "also a line a scan");
  app.add_option("--keep", study.keep, "folder: leaves the scans there");
}

void print_each(const AreaOutcome& o) {
  std::string flags;
  for (const basefog::Flag flag : o.flags.list()) {
    flags += ' ';
    flags += basefog::text_of(flag).name;
  }
  const std::string kind(name_of(o.kind));
  std::printf("%-7s %3d %-46s %d/%d invented %d overlap %.3f base %s %+.4f +- %.4f%s%s\n",
              kind.c_str(), o.number, o.what.c_str(), o.found, o.frames, o.invented,
              o.least_overlap, o.has_base ? "yes" : "no ", o.base_error, o.base_sigma,
              o.base_flagged ? " flagged" : "", flags.c_str());
  std::fflush(stdout);
}

double percent(int part, int whole) { return whole > 0 ? 100.0 * part / whole : 100.0; }

void print_row(const std::string& name, const std::vector<AreaOutcome>& outcomes) {
  const AreaScore s = validation::score(outcomes);
  std::printf("| %s | %d | %d | %d (%.1f %%) | %d | %d (%.1f %%) | %d | %d of %d |\n", name.c_str(),
              s.scans, s.frames, s.found, percent(s.found, s.frames), s.invented, s.close,
              percent(s.close, s.bases), s.far_unflagged, s.refused, s.no_reference);
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("How well frames and base + fog are found, by kind of scan, as a Markdown table.");
  Arguments arguments;
  add_words(app, arguments);
  CLI11_PARSE(app, argc, argv);
  try {
    std::vector<std::vector<AreaOutcome>> by_kind;
    std::vector<AreaOutcome> all;
    for (int k = 0; k < validation::kScanKinds; ++k) {
      const auto kind = static_cast<ScanKind>(k);
      if (!arguments.only.empty() && name_of(kind) != arguments.only) continue;
      by_kind.push_back(validation::run_area_study(kind, arguments.study));
      all.insert(all.end(), by_kind.back().begin(), by_kind.back().end());
      if (!arguments.each) continue;
      for (const AreaOutcome& outcome : by_kind.back()) print_each(outcome);
    }
    std::printf(
        "| scans | n | frames | overlap > 0.95 | invented | base within 0.01 | off 0.03 and no "
        "word "
        "| no reference, said so |\n|---|---|---|---|---|---|---|---|\n");
    for (const auto& outcomes : by_kind) {
      print_row(std::string(name_of(outcomes.front().kind)), outcomes);
    }
    if (by_kind.size() > 1) print_row("all", all);
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "area_study: " << error.what() << '\n';
    return 2;
  }
}

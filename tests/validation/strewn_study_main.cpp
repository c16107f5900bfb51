// SPDX-License-Identifier: GPL-3.0-or-later
// strewn_study: prints how film is found as hands lay it on the glass, by what is odd about it, as
// a Markdown table.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>
#include <iostream>
#include <string>

#include "validation/strewn_sheets.hpp"
#include "validation/strewn_study.hpp"

namespace {

using validation::Lie;
using validation::StrewnScore;

struct Arguments {
  std::uint64_t seed = 1;
  int sheets = 20;
  int first = 0;
  std::string only;
  std::filesystem::path keep;
  std::filesystem::path scans;
};

void print_row(const std::string& name, const StrewnScore& s) {
  std::printf("| %s | %d | %d | %d (%.1f %%) | %d | %d | %d |\n", name.c_str(), s.sheets, s.frames,
              s.found, s.frames > 0 ? 100.0 * s.found / s.frames : 100.0, s.lost, s.silent,
              s.invented);
  std::fflush(stdout);
}

StrewnScore run(Lie lie, const Arguments& arguments) {
  StrewnScore sum;
  for (int i = arguments.first; i < arguments.first + arguments.sheets; ++i) {
    const basefog::strewn::Glass glass = validation::draw_sheet(lie, arguments.seed, i);
    const basefog::scan::Scan scan = basefog::strewn::draw(glass);
    const std::string name = std::string(name_of(lie)) + "_" + std::to_string(i);
    if (!arguments.scans.empty()) validation::keep_sheet(arguments.scans, name, glass, scan);
    const basefog::area::FilmLayout layout = basefog::area::find_film(scan);
    const StrewnScore score = validation::judge(glass, layout);
    sum.add(score);
    if (score.found == score.frames && score.invented == 0) continue;
    std::fprintf(stderr, "%s %d: %d of %d, lost %d, silent %d, invented %d, overlap %.3f\n",
                 std::string(name_of(lie)).c_str(), i, score.found, score.frames, score.lost,
                 score.silent, score.invented, score.least_overlap);
    if (arguments.keep.empty()) continue;
    validation::save_picture(arguments.keep / (name + ".png"), glass, scan, layout);
  }
  return sum;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("How film is found as hands lay it on the glass, as a Markdown table.");
  Arguments arguments;
  app.add_option("--seed", arguments.seed);
  app.add_option("--sheets", arguments.sheets, "of each kind");
  app.add_option("--first", arguments.first, "number of the first sheet");
  app.add_option("--only", arguments.only, "this kind");
  app.add_option("--keep", arguments.keep, "folder: leaves a picture of each sheet that fails");
  app.add_option("--scans", arguments.scans,
                 "folder: leaves each sheet as a scan, with its frames");
  CLI11_PARSE(app, argc, argv);
  try {
    if (!arguments.keep.empty()) std::filesystem::create_directories(arguments.keep);
    std::printf(
        "| film | sheets | frames | overlap > 0.95 | lost | without a word | invented |\n"
        "|---|---|---|---|---|---|---|\n");
    StrewnScore all;
    for (int k = 0; k < validation::kLies; ++k) {
      const auto lie = static_cast<Lie>(k);
      if (!arguments.only.empty() && name_of(lie) != arguments.only) continue;
      const StrewnScore sum = run(lie, arguments);
      print_row(std::string(name_of(lie)), sum);
      all.add(sum);
    }
    if (arguments.only.empty()) print_row("all", all);
    return 0;
  } catch (const std::exception& error) {
    std::cerr << "strewn_study: " << error.what() << '\n';
    return 2;
  }
}

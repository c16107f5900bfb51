// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the reports that the browser tests open: write_reports FOLDER
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <vector>

#include "basefog/page/html_page.hpp"
#include "basefog/page/rolls_page.hpp"
#include "basefog/report/report.hpp"
#include "basefog/report/roll_summary.hpp"
#include "makers/sample_analysis.hpp"

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const auto write = [&folder](const char* name, const basefog::roll::Analysis& analysis) {
    std::ofstream html(folder / (std::string(name) + ".html"), std::ios::binary);
    basefog::page::write_html(html, analysis, "index.html");
    std::ofstream json(folder / (std::string(name) + ".json"), std::ios::binary);
    basefog::report::write_json(json, analysis);
    return html.good() && json.good();
  };
  // The index page of a folder of rolls; its links lead to pages that are written here too.
  const auto entry = [](const char* name, const basefog::roll::Analysis& analysis) {
    basefog::page::RollEntry roll{basefog::report::summarise(name, analysis),
                                  basefog::page::picture_strip(analysis)};
    roll.summary.report = std::string(name) + ".html";
    return roll;
  };
  std::vector<basefog::page::RollEntry> rolls{
      entry("sample", basefog::sample_analysis()),
      entry("colour", basefog::sample_colour_analysis()),
      {.summary = {.name = "broken <b>",
                   .failure = "broken: holds no log that can be read; mend it."}}};
  std::ranges::stable_sort(rolls, basefog::report::needs_more_attention,
                           &basefog::page::RollEntry::summary);
  std::ofstream index(folder / "index.html", std::ios::binary);
  basefog::page::write_rolls_html(index, rolls);
  const bool written = index.good() && write("sample", basefog::sample_analysis()) &&
                       write("nolog", basefog::sample_analysis_without_log()) &&
                       write("colour", basefog::sample_colour_analysis()) &&
                       write("long", basefog::sample_long_roll(36, 1200)) &&
                       write("empty", basefog::roll::Analysis{});
  return written ? 0 : 1;
}

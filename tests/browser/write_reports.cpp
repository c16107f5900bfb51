// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the reports that the browser tests open: write_reports FOLDER
#include <filesystem>
#include <fstream>

#include "basefog/report.hpp"
#include "report/sample_analysis.hpp"

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const auto write = [&folder](const char* name, const basefog::Analysis& analysis) {
    std::ofstream html(folder / (std::string(name) + ".html"), std::ios::binary);
    basefog::write_html(html, analysis);
    std::ofstream json(folder / (std::string(name) + ".json"), std::ios::binary);
    basefog::write_json(json, analysis);
    return html.good() && json.good();
  };
  const bool written = write("sample", basefog::sample_analysis()) &&
                       write("nolog", basefog::sample_analysis_without_log()) &&
                       write("colour", basefog::sample_colour_analysis()) &&
                       write("empty", basefog::Analysis{});
  return written ? 0 : 1;
}

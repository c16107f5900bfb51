// SPDX-License-Identifier: GPL-3.0-or-later
// One analysis, several outputs.
#include "basefog/report/report.hpp"

#include <iostream>
#include <sstream>

#include "basefog/page/html_page.hpp"

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::filesystem::path roll = argv[1];
  roll::ReviewOptions options;
  options.log = roll / "log.csv";
  const roll::Analysis analysis =
      roll::review({roll / "roll03_03.tif", roll / "roll03_04.tif"}, options);
  report::write_table(std::cout, analysis);
  std::ostringstream page;
  page::write_html(page, analysis);
  std::cout << "a page of " << page.str().size() << " bytes\n";
  return page.str().find("<h1") != std::string::npos ? 0 : 1;
}

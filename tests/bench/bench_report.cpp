// SPDX-License-Identifier: GPL-3.0-or-later
// Time and size of each output for a roll of 36 frames with full-size pictures.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <functional>
#include <sstream>
#include <vector>

#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"

int main() {
  constexpr int kRuns = 7;
  const basefog::roll::Analysis roll = basefog::sample_long_roll(36);
  const auto measure = [](const char* name, const std::function<void(std::ostream&)>& write) {
    std::vector<double> seconds;
    std::size_t bytes = 0;
    for (int run = 0; run < kRuns; ++run) {
      std::ostringstream out;
      const auto begin = std::chrono::steady_clock::now();
      write(out);
      const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
      seconds.push_back(taken.count());
      bytes = out.str().size();
    }
    std::sort(seconds.begin(), seconds.end());
    std::printf("%-6s %8.1f ms (least of %d %.1f) %9zu bytes\n", name, 1000 * seconds[kRuns / 2],
                kRuns, 1000 * seconds[0], bytes);
  };
  measure("html", [&](std::ostream& out) { basefog::page::write_html(out, roll); });
  measure("json", [&](std::ostream& out) { basefog::report::write_json(out, roll); });
  measure("csv", [&](std::ostream& out) { basefog::report::write_csv(out, roll); });
  measure("table", [&](std::ostream& out) { basefog::report::write_table(out, roll); });
}

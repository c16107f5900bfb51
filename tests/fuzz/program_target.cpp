// SPDX-License-Identifier: GPL-3.0-or-later
// The whole program on one scan: decoding, finding, measuring, reading, and all that is written.
#include <sstream>
#include <string>

#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "basefog/roll/analysis.hpp"
#include "fuzz/file_in_memory.hpp"
#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {

void fuzz_program(std::string_view bytes) {
  roll::ReviewOptions options;
  // What only claims to be large must not cost the fuzzer its time.
  options.measure.read.most_blocks = 1'000;
  options.measure.read.most_pixels = 100'000;
  options.threads = 1;
  read_as_file(bytes, [&](const std::filesystem::path& path) {
    const roll::Analysis analysis = roll::review({path}, options);
    for (const auto write : {report::write_json, report::write_csv}) {
      std::ostringstream out;
      write(out, analysis);
      require(!out.str().empty());
    }
    std::ostringstream table;
    report::write_table(table, analysis);
    require(!table.str().empty());
    std::ostringstream page;
    page::write_html(page, analysis);
    require(!page.str().empty());
  });
}

}  // namespace basefog::test

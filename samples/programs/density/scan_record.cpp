// SPDX-License-Identifier: GPL-3.0-or-later
// A scan measured here and reviewed elsewhere.
#include "basefog/density/scan_record.hpp"

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "basefog/roll/analysis.hpp"

using namespace basefog;
namespace fs = std::filesystem;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const density::ScanRecord record = density::measure_scan(fs::path(argv[1]) / "roll03_03.tif");
  std::string folder = (fs::temp_directory_path() / "basefog-sample-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;
  const fs::path file = fs::path(folder) / "record.json";
  std::ofstream(file) << density::scan_record_text(record);
  const roll::Analysis analysis = roll::review_records(density::read_scan_records({file}), {});
  std::printf("%ju bytes, %zu frame\n", static_cast<std::uintmax_t>(fs::file_size(file)),
              analysis.frames.size());
  fs::remove_all(folder);
  return analysis.frames.at(0).state == density::FrameState::measured ? 0 : 1;
}

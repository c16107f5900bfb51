// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/scan_record.hpp"

#include <algorithm>
#include <exception>
#include <iterator>
#include <new>
#include <utility>

#include "basefog/core/error.hpp"
#include "scan/scan_files.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

bool is_record_name(const fs::path& path) { return path.extension() == ".json"; }

}  // namespace

ScanRecord measure_scan(const fs::path& file, const MeasureOptions& options) {
  ScanRecord record{.file = file};
  const auto fail = [&](std::string problem, std::string next_step) {
    // What was measured before the failure is not of a whole scan.
    record = {.file = file};
    record.failure = {.file = file, .text = std::move(problem), .next_step = std::move(next_step)};
  };
  try {
    const scan::Scan scan = scan::read_scan(file, options.read);
    record.frames =
        measure_frames(scan, area::find_film(scan, options.layout), options.picture_side);
  } catch (const InputError& error) {
    // What is wrong may be the shot of the bare light.
    const bool own = error.path() == file;
    fail(own ? error.problem()
             : "could not be read with " + error.path().string() + ", which " + error.problem(),
         error.next_step());
  } catch (const std::bad_alloc&) {
    fail("needs more memory than there is", "scan at a lower resolution, or close other programs");
  } catch (const std::exception& error) {
    fail(std::string("could not be read: ") + error.what(),
         "copy it again, or scan the frame again");
  }
  return record;
}

std::vector<ScanRecord> read_scan_records(const std::vector<fs::path>& inputs) {
  const std::vector<fs::path> files = scan::expanded(inputs, is_record_name);
  if (!files.empty()) scan::refuse_too_many(files.size(), inputs.front());
  std::vector<ScanRecord> records;
  for (const fs::path& file : files) records.push_back(read_scan_record(file));
  if (records.empty()) {
    throw InputError(ErrorCode::no_scans, inputs.empty() ? fs::path(".") : inputs.front(),
                     "holds no records of scans", "make them with 'basefog read --record'");
  }
  std::stable_sort(records.begin(), records.end(), [](const ScanRecord& a, const ScanRecord& b) {
    return scan::counts_before(a.file.string(), b.file.string());
  });
  return records;
}

}  // namespace basefog::density

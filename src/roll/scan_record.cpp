// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/scan_record.hpp"

#include <algorithm>
#include <exception>
#include <iterator>
#include <new>
#include <utility>

#include "basefog/error.hpp"
#include "roll/scan_files.hpp"

namespace basefog {
namespace fs = std::filesystem;
namespace {

Warning failure_warning(const fs::path& file, std::string problem, std::string next_step) {
  return {file, Flag::unreadable_file, std::move(problem), std::move(next_step)};
}

std::vector<fs::path> records_in_folder(const fs::path& folder) {
  std::vector<fs::path> records;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (it->path().extension() == ".json") records.push_back(it->path());
  }
  if (error) {
    throw InputError(ErrorCode::unreadable, folder, "cannot be listed (" + error.message() + ")",
                     "check its permissions");
  }
  return records;
}

}  // namespace

ScanRecord measure_scan(const fs::path& file, const MeasureOptions& options) {
  ScanRecord record{.file = file};
  try {
    const Scan scan = read_scan(file, options.read);
    record.frames = measure_frames(scan, find_film(scan, options.layout), options.picture_side);
    for (const FrameMeasurement& frame : record.frames) {
      record.blur.push_back(frame.state == FrameState::measured ? read_blur(frame.negative)
                                                                : BlurReading{});
    }
  } catch (const InputError& error) {
    record.failure = failure_warning(file, error.problem(), error.next_step());
  } catch (const std::bad_alloc&) {
    record.failure = failure_warning(file, "needs more memory than there is",
                                     "scan at a lower resolution, or close other programs");
  } catch (const std::exception& error) {
    record.failure = failure_warning(file, std::string("could not be read: ") + error.what(),
                                     "copy it again, or scan the frame again");
  }
  return record;
}

std::vector<ScanRecord> read_scan_records(const std::vector<fs::path>& inputs) {
  std::vector<fs::path> files;
  for (const fs::path& input : inputs) {
    std::error_code error;
    const bool folder = fs::is_directory(input, error);
    std::ranges::copy(folder ? records_in_folder(input) : std::vector{input},
                      std::back_inserter(files));
  }
  if (!files.empty()) refuse_too_many(files.size(), inputs.front());
  std::vector<ScanRecord> records;
  for (const fs::path& file : files) records.push_back(read_scan_record(file));
  if (records.empty()) {
    throw InputError(ErrorCode::no_scans, inputs.empty() ? fs::path(".") : inputs.front(),
                     "holds no records of scans", "make them with 'basefog read --record'");
  }
  std::stable_sort(records.begin(), records.end(), [](const ScanRecord& a, const ScanRecord& b) {
    return counts_before(a.file.string(), b.file.string());
  });
  return records;
}

}  // namespace basefog

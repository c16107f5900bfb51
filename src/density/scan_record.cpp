// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/scan_record.hpp"

#include <algorithm>
#include <exception>
#include <iterator>
#include <new>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/density/scan_store.hpp"
#include "density/reading_apart.hpp"
#include "density/store_key.hpp"
#include "scan/scan_files.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

bool is_record_name(const fs::path& path) { return path.extension() == ".json"; }

ScanRecord measure_anew(const fs::path& file, const MeasureOptions& options) {
  if (options.read.apart) return measure_apart(file, options);
  ScanRecord record{.file = file};
  const auto fail = [&](std::string problem, std::string next_step) {
    // What was measured before the failure is not of a whole scan.
    record = {.file = file};
    record.failure = {.file = file, .text = std::move(problem), .next_step = std::move(next_step)};
  };
  try {
    const scan::Scan scan = scan::read_scan(file, options.read);
    record = record_of(scan, area::find_film(scan, options.layout), options.picture_side);
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

/// What another run measured, of the file as it is called now.
ScanRecord renamed(ScanRecord record, const fs::path& file) {
  record.file = file;
  if (record.finding) record.finding->scan.path = file;
  for (FrameMeasurement& frame : record.frames) frame.file = file;
  return record;
}

ScanRecord measured(const fs::path& file, const MeasureOptions& options) {
  if (!options.store) return measure_anew(file, options);
  const std::optional<std::string> key = store_key(file, options);
  if (key) {
    if (std::optional<ScanRecord> kept = options.store->find(*key)) {
      return renamed(*std::move(kept), file);
    }
  }
  ScanRecord record = measure_anew(file, options);
  // A file that changed while it was read is not what the key says.
  if (key && !record.failure && store_key(file, options) == key) options.store->keep(*key, record);
  return record;
}

}  // namespace

ScanRecord record_of(const scan::Scan& scan, const area::FilmLayout& layout, int picture_side) {
  ScanRecord record{.file = scan.path, .frames = measure_frames(scan, layout, picture_side)};
  ScanFinding& finding = record.finding.emplace();
  finding.scan.path = scan.path;
  finding.scan.width = scan.width;
  finding.scan.height = scan.height;
  finding.scan.bits_per_sample = scan.bits_per_sample;
  finding.scan.format = scan.format;
  finding.scan.blocks.channels = scan.blocks.channels;
  finding.layout.frames = layout.frames;
  finding.layout.strips = layout.strips;
  finding.layout.frame_flags = layout.frame_flags;
  finding.layout.frameless = layout.frameless;
  finding.layout.edges_found = layout.edges_found;
  finding.layout.flags = layout.flags;
  return record;
}

ScanRecord measure_scan(const fs::path& file, const MeasureOptions& options) {
  ScanRecord record = measured(file, options);
  record.sum = sum_of_file(file);
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

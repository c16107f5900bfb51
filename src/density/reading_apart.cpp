// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/reading_apart.hpp"

#include <algorithm>
#include <exception>
#include <new>
#include <optional>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "density/negative_picture.hpp"
#include "density/plain_bytes.hpp"
#include "density/record_bytes.hpp"
#include "density/record_checks.hpp"
#include "scan/scanner_name.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

/// Of address space: some times what decoders may hold of one file (core/limits.hpp), and the
/// program itself.
constexpr std::uint64_t kMostMemory = 6144 * limits::kMebibyte;
/// Of processor: a megabyte of the most tightly packed scan that is still taken is 2 s of a slow
/// machine (judgement).
constexpr unsigned kLeastSeconds = 120;
constexpr unsigned kSecondsPerMebibyte = 2;

enum class Job : std::uint8_t { record, scan, pictures, scanner };
enum class Reply : std::uint8_t { found, failed };

/// Writes or reads all of how a file is to be read, but for the store and the processes.
void each(auto& way, auto& value) {
  if constexpr (requires { way.put(value); }) {
    way.put(value);
  } else {
    way.take(value);
  }
}

void each_of(auto& way, Is<scan::ReadOptions> auto& read) {
  each(way, read.response);
  each(way, read.most_blocks);
  each(way, read.most_pixels);
}

void each_of(auto& way, Is<area::LayoutHint> auto& layout) {
  each(way, layout.content);
  each(way, layout.format);
  each(way, layout.frames);
  each(way, layout.strips);
  each(way, layout.order);
  each(way, layout.strip_order);
}

void each_of(auto& way, Is<scan::Scan> auto& scan) {
  each(way, scan.width);
  each(way, scan.height);
  each(way, scan.bits_per_sample);
  each(way, scan.format);
  each(way, scan.blocks.width);
  each(way, scan.blocks.height);
  each(way, scan.blocks.channels);
  each(way, scan.blocks.block_side);
  each(way, scan.blocks.mean);
  each(way, scan.blocks.variance);
  each(way, scan.blocks.clipped);
  each(way, scan.blocks.floored);
  each(way, scan.response);
  each(way, scan.light_known);
  each(way, scan.darkest);
  each(way, scan.metadata);
  each(way, scan.flags);
}

/// Whether a scan has the blocks that it claims.
bool is_whole(const scan::Scan& scan) {
  const decode::BlockImage& blocks = scan.blocks;
  if (blocks.width < 1 || blocks.height < 1 || blocks.block_side < 1) return false;
  if (blocks.channels != 1 && blocks.channels != 3) return false;
  const std::size_t count =
      static_cast<std::size_t>(blocks.channels) * blocks.width * blocks.height;
  return blocks.mean.size() == count && blocks.variance.size() == count &&
         blocks.clipped.size() == count && blocks.floored.size() == count &&
         scan.darkest.size() == static_cast<std::size_t>(blocks.channels) && scan.width > 0 &&
         scan.height > 0;
}

bool is_whole(const NegativePicture& picture, int long_side) {
  return (picture.channels == 1 || picture.channels == 3) && picture.width > 0 &&
         picture.height > 0 && picture.width <= long_side && picture.height <= long_side &&
         picture.millidensity.size() ==
             static_cast<std::size_t>(picture.width) * picture.height * picture.channels;
}

// On the side of the process that reads.

std::string failure(const std::string& file, const std::string& problem, const std::string& step,
                    ErrorCode code = ErrorCode::unreadable) {
  Writer out;
  out.put(Reply::failed);
  out.put(code);
  out.put(file);
  out.put(problem);
  out.put(step);
  return std::move(out.bytes);
}

struct Request {
  Job job{};
  fs::path file;
  MeasureOptions options;
};

Request request_in(Reader& in) {
  Request request;
  in.take(request.job);
  std::string file;
  in.take(file);
  request.file = file;
  std::optional<std::string> light;
  in.take(light);
  if (light) request.options.read.light = *light;
  each_of(in, request.options.read);
  return request;
}

std::string record_found(Reader& in, Request& request) {
  each_of(in, request.options.layout);
  in.take(request.options.picture_side);
  const ScanRecord record = measure_scan(request.file, request.options);
  if (record.failure) {
    return failure(request.file.native(), record.failure->text, record.failure->next_step);
  }
  Writer out;
  out.put(Reply::found);
  return std::move(out.bytes) + record_bytes(record, "", Packing::quick);
}

std::string scan_found(const Request& request) {
  const scan::Scan scan = scan::read_scan(request.file, request.options.read);
  Writer out;
  out.put(Reply::found);
  each_of(out, scan);
  return std::move(out.bytes);
}

void find_pictures(Reader& in, const Request& request, const apart::Answer& answer) {
  std::vector<area::FrameRegion> regions;
  in.take(regions);
  read_pictures(request.file, request.options, regions, in.number<int>(),
                [&answer](std::size_t region, const NegativePicture& picture) {
                  Writer out;
                  out.put(Reply::found);
                  out.put(region);
                  out.put_whole(picture);
                  answer(out.bytes);
                });
}

std::string name_found(const Request& request) {
  Writer out;
  out.put(Reply::found);
  out.put(scan::scanner_name(request.file));
  return std::move(out.bytes);
}

// On the side of the program.

Writer begun(Job job, const fs::path& file, const scan::ReadOptions& options) {
  Writer out;
  out.put(job);
  out.put(file.native());
  out.put(options.light ? std::optional(options.light->native()) : std::nullopt);
  each_of(out, options);
  return out;
}

[[noreturn]] void refuse(const fs::path& file, const std::string& fault) {
  throw InputError(ErrorCode::unreadable, file, "ended the process that read it, which " + fault,
                   "copy it again, or export it anew as TIFF with 16 bits a channel");
}

[[noreturn]] void rethrow(Reader& in) {
  const auto code = in.number<ErrorCode>();
  std::string file;
  std::string problem;
  std::string step;
  in.take(file);
  in.take(problem);
  in.take(step);
  throw InputError(code <= ErrorCode::usage ? code : ErrorCode::unreadable, file, problem, step);
}

/// Runs a job; what it found is handed over. Throws InputError.
void run(const apart::Processes& processes, std::string request, const fs::path& file,
         const scan::ReadOptions& options,
         const std::function<void(Reader&, std::string_view)>& take) {
  apart::Task task{.request = std::move(request), .files = {file}};
  if (options.light) task.files.push_back(*options.light);
  std::uintmax_t bytes = 0;
  for (const fs::path& one : task.files) {
    std::error_code error;
    const std::uintmax_t size = fs::file_size(one, error);
    if (!error) bytes += size;
  }
  task.limits = {kMostMemory, kLeastSeconds + static_cast<unsigned>(bytes / limits::kMebibyte *
                                                                    kSecondsPerMebibyte)};
  try {
    processes.run(task, [&](std::string_view answer) {
      Reader in(answer);
      if (in.number<Reply>() == Reply::failed) rethrow(in);
      take(in, answer.substr(sizeof(Reply)));
    });
  } catch (const apart::Broken& broken) {
    refuse(file, broken.what());
  } catch (const Damaged&) {
    refuse(file, "gave no sensible answer");
  }
}

}  // namespace

void answer_reading(std::string_view bytes, const apart::Answer& answer) try {
  Reader in(bytes);
  Request request = request_in(in);
  try {
    if (request.job == Job::record) answer(record_found(in, request));
    if (request.job == Job::scan) answer(scan_found(request));
    if (request.job == Job::pictures) find_pictures(in, request, answer);
    if (request.job == Job::scanner) answer(name_found(request));
  } catch (const InputError& error) {
    answer(failure(error.path().native(), error.problem(), error.next_step(), error.code()));
  } catch (const std::bad_alloc&) {
    answer(failure(request.file.native(), "needs more memory than there is",
                   "scan at a lower resolution, or close other programs"));
  } catch (const std::exception& error) {
    answer(failure(request.file.native(), std::string("could not be read: ") + error.what(),
                   "copy it again, or scan the frame again"));
  }
} catch (...) {
  // Said by what is missing from the answer.
}

std::shared_ptr<const apart::Processes> start_reading_apart() {
  return apart::Processes::start(answer_reading);
}

ScanRecord measure_apart(const fs::path& file, const MeasureOptions& options) {
  ScanRecord record;
  try {
    Writer request = begun(Job::record, file, options.read);
    each_of(request, options.layout);
    request.put(options.picture_side);
    std::optional<ScanRecord> found;
    run(*options.read.apart, std::move(request.bytes), file, options.read,
        [&found](Reader&, std::string_view bytes) { found = record_of_bytes(bytes, ""); });
    if (!found) refuse(file, "gave no sensible answer");
    record = *std::move(found);
    if (record.finding) record.finding->scan.path = file;
    for (FrameMeasurement& frame : record.frames) frame.file = file;
  } catch (const InputError& error) {
    record.failure = {.file = file, .text = error.problem(), .next_step = error.next_step()};
  } catch (const std::exception& error) {
    record.failure = {.file = file,
                      .text = std::string("could not be read: ") + error.what(),
                      .next_step = "close other programs, and try again"};
  }
  record.file = file;
  return record;
}

void read_pictures_apart(const fs::path& file, const scan::ReadOptions& options,
                         std::span<const area::FrameRegion> regions, int long_side,
                         const TakeRegion& take) {
  Writer request = begun(Job::pictures, file, options);
  request.put(std::vector(regions.begin(), regions.end()));
  request.put(long_side);
  run(*options.apart, std::move(request.bytes), file, options, [&](Reader& in, std::string_view) {
    const auto region = in.number<std::size_t>();
    NegativePicture picture = in.whole_picture();
    if (region >= regions.size() || !is_whole(picture, long_side)) throw Damaged();
    take(region, std::move(picture));
  });
}

scan::Scan read_scan(const fs::path& path, const scan::ReadOptions& options) {
  if (!options.apart) return scan::read_scan(path, options);
  std::optional<scan::Scan> found;
  run(*options.apart, begun(Job::scan, path, options).bytes, path, options,
      [&found](Reader& in, std::string_view) { each_of(in, found.emplace()); });
  if (!found || !is_whole(*found)) refuse(path, "gave no sensible answer");
  found->path = path;
  return *std::move(found);
}

std::string scanner_name(const fs::path& file,
                         const std::shared_ptr<const apart::Processes>& processes) {
  if (!processes) return scan::scanner_name(file);
  std::string name;
  try {
    run(*processes, begun(Job::scanner, file, {}).bytes, file, {},
        [&name](Reader& in, std::string_view) { in.take(name); });
  } catch (const InputError&) {
    return "";  // said when it is read
  }
  return name;
}

}  // namespace basefog::density

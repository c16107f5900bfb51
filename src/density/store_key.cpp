// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/store_key.hpp"

#include <sys/stat.h>
#include <zlib.h>

#include <algorithm>
#include <bit>
#include <cstdint>
#include <ctime>
#include <vector>

#include "basefog/core/version.hpp"
#include "basefog/density/file_sum.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

/// Raised whenever anything measured comes out otherwise, or is kept in another form.
constexpr int kForm = 1;

// A file is taken for unchanged by its size, by the times of its last writing and of its last
// change, and by its sum. Any write sets both times, and a program that sets the first back, as
// editors of metadata do, cannot set the second. The sum is for file systems that keep no such
// time, or a coarse one.
/// A file that is summed in parts and was changed within so many seconds may be changed again
/// within the same tick of the coarsest clock, which FAT has.
constexpr double kSettledSeconds = 2;

double seconds(const timespec& time) {
  return static_cast<double>(time.tv_sec) + 1e-9 * static_cast<double>(time.tv_nsec);
}

std::string text(const timespec& time) {
  return std::to_string(time.tv_sec) + "." + std::to_string(time.tv_nsec);
}

/// Whether a file has been left alone long enough for its times to tell of any later change.
bool is_settled(const struct stat& status) {
  timespec now{};
  ::clock_gettime(CLOCK_REALTIME, &now);
  return seconds(now) - std::max(seconds(status.st_mtim), seconds(status.st_ctim)) >
         kSettledSeconds;
}

std::optional<std::string> content_of(const fs::path& path) {
  struct stat status {};
  const std::optional<FileSum> sum = sum_of_file(path);
  if (!sum || ::stat(path.c_str(), &status) != 0) return std::nullopt;
  if (!sum->whole && !is_settled(status)) return std::nullopt;
  return std::to_string(sum->bytes) + " " + text(status.st_mtim) + " " + text(status.st_ctim) +
         " " + std::to_string(sum->crc32);
}

/// A number to the last bit.
std::string text(double value) { return std::to_string(std::bit_cast<std::uint64_t>(value)); }

std::string text(const response::Response& response) {
  std::string out = std::string(name_of(response.kind)) + " " + text(response.gamma) + " " +
                    text(response.relative_sigma) + " " + text(response.densest.value()) + " " +
                    name_of(response.source) + " " + response.source.detail;
  if (!response.curves) return out;
  for (const std::vector<float>& curve : *response.curves) {
    out += " " + std::to_string(crc32_z(0, reinterpret_cast<const Bytef*>(curve.data()),
                                        curve.size() * sizeof(float)));
  }
  return out;
}

std::string text(const area::LayoutHint& layout) {
  const auto number = [](const auto& value) {
    return value ? std::to_string(static_cast<int>(*value)) + " " : std::string("- ");
  };
  return number(layout.content) + number(layout.frames) + number(layout.strips) +
         number(layout.order) + number(layout.strip_order) + layout.format;
}

/// This build and no other, whatever its version says.
std::string program() {
  struct stat status {};
  std::string out = std::string(kVersion) + " " + std::to_string(kForm);
  if (::stat("/proc/self/exe", &status) == 0) {
    out += " " + std::to_string(status.st_size) + " " + text(status.st_mtim);
  }
  return out;
}

}  // namespace

std::optional<std::string> store_key(const fs::path& file, const MeasureOptions& options) {
  const std::optional<std::string> content = content_of(file);
  if (!content) return std::nullopt;
  std::string light = "none";
  if (options.read.light) {
    const std::optional<std::string> shot = content_of(*options.read.light);
    if (!shot) return std::nullopt;
    light = *shot;
  }
  const scan::ReadOptions& read = options.read;
  return "program " + program() + "\nname " + file.filename().string() + "\ncontent " + *content +
         "\nresponse " + (read.response ? text(*read.response) : "the file's") + "\nlight " +
         light + "\nblocks " + std::to_string(read.most_blocks) + "\npixels " +
         std::to_string(read.most_pixels) + "\nlayout " + text(options.layout) + "\npicture " +
         std::to_string(options.picture_side) + "\n";
}

}  // namespace basefog::density

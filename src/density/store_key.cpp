// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/store_key.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include <algorithm>
#include <bit>
#include <cstdint>
#include <ctime>
#include <vector>

#include "basefog/core/version.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

/// Raised whenever anything measured comes out otherwise, or is kept in another form.
constexpr int kForm = 1;

// A file is taken for unchanged by its size, by the times of its last writing and of its last
// change, and by a sum over parts of it. Any write sets both times, and a program that sets the
// first back, as editors of metadata do, cannot set the second. The sum is for file systems that
// keep no such time, or a coarse one: over all of a small file, else over both ends, where headers
// and directories lie, and over places between. 16 places cost a disk with a moving head 0.1 s.
constexpr std::int64_t kWholeBytes = std::int64_t{1} << 20;
constexpr std::int64_t kEndBytes = 1 << 16;
constexpr std::int64_t kPlaceBytes = 1 << 12;
constexpr int kPlaces = 14;
/// A file that is summed in parts and was changed within so many seconds may be changed again
/// within the same tick of the coarsest clock, which FAT has.
constexpr double kSettledSeconds = 2;

class OpenFile {
 public:
  explicit OpenFile(const fs::path& path) : fd_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {}
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  ~OpenFile() {
    if (fd_ >= 0) ::close(fd_);
  }

  bool status(struct stat& status) const { return fd_ >= 0 && ::fstat(fd_, &status) == 0; }

  /// Adds part of the file to a sum; false where it cannot be read.
  bool add(std::uint32_t& sum, std::int64_t from, std::int64_t size) const {
    std::vector<Bytef> bytes(static_cast<std::size_t>(size));
    std::int64_t read = 0;
    while (read < size) {
      const ssize_t some = ::pread(fd_, bytes.data() + read, size - read, from + read);
      if (some <= 0) return false;
      read += some;
    }
    sum = static_cast<std::uint32_t>(crc32_z(sum, bytes.data(), bytes.size()));
    return true;
  }

 private:
  int fd_;
};

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

std::optional<std::uint32_t> sum_of(const OpenFile& file, const struct stat& status) {
  const std::int64_t size = status.st_size;
  std::uint32_t sum = 0;
  if (size <= kWholeBytes) {
    return file.add(sum, 0, size) ? std::optional(sum) : std::nullopt;
  }
  if (!is_settled(status)) return std::nullopt;
  bool read = file.add(sum, 0, kEndBytes) && file.add(sum, size - kEndBytes, kEndBytes);
  for (int i = 1; i <= kPlaces; ++i) {
    read = read && file.add(sum, size / (kPlaces + 1) * i, kPlaceBytes);
  }
  return read ? std::optional(sum) : std::nullopt;
}

std::optional<std::string> content_of(const fs::path& path) {
  // Opening a pipe would wait for its other end.
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return std::nullopt;
  const OpenFile file(path);
  if (!file.status(status)) return std::nullopt;
  const auto sum = sum_of(file, status);
  if (!sum) return std::nullopt;
  return std::to_string(status.st_size) + " " + text(status.st_mtim) + " " + text(status.st_ctim) +
         " " + std::to_string(*sum);
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

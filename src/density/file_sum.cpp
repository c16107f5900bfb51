// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/file_sum.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include <vector>

namespace basefog::density {
namespace {

// Headers and directories lie at the ends. 16 places cost a disk with a moving head 0.1 s.
constexpr std::int64_t kWholeBytes = std::int64_t{1} << 20;
constexpr std::int64_t kEndBytes = 1 << 16;
constexpr std::int64_t kPlaceBytes = 1 << 12;
constexpr int kPlaces = 14;

class OpenFile {
 public:
  explicit OpenFile(const std::filesystem::path& path)
      : fd_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {}
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

}  // namespace

std::optional<FileSum> sum_of_file(const std::filesystem::path& path) {
  // Opening a pipe would wait for its other end.
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0 || !S_ISREG(status.st_mode)) return std::nullopt;
  const OpenFile file(path);
  if (!file.status(status)) return std::nullopt;
  const std::int64_t size = status.st_size;
  FileSum sum{.bytes = static_cast<std::uint64_t>(size), .whole = size <= kWholeBytes};
  bool read = file.add(sum.crc32, 0, sum.whole ? size : kEndBytes);
  if (!sum.whole) {
    read = read && file.add(sum.crc32, size - kEndBytes, kEndBytes);
    for (int i = 1; i <= kPlaces; ++i) {
      read = read && file.add(sum.crc32, size / (kPlaces + 1) * i, kPlaceBytes);
    }
  }
  return read ? std::optional(sum) : std::nullopt;
}

}  // namespace basefog::density

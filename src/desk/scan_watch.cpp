// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/scan_watch.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <optional>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/scan/scan.hpp"
#include "scan/scan_files.hpp"

namespace basefog::desk {
namespace fs = std::filesystem;
namespace {

/// Size, time and node of a file as one number; nothing where it is gone or empty.
std::optional<std::uint64_t> print_of(const fs::path& file) {
  struct stat found {};
  if (::stat(file.c_str(), &found) != 0 || !S_ISREG(found.st_mode) || found.st_size == 0) {
    return std::nullopt;
  }
  std::uint64_t print = 0;
  for (const auto part :
       {static_cast<std::uint64_t>(found.st_size), static_cast<std::uint64_t>(found.st_mtim.tv_sec),
        static_cast<std::uint64_t>(found.st_mtim.tv_nsec),
        static_cast<std::uint64_t>(found.st_ino)}) {
    print = (print ^ part) * 0x9e3779b97f4a7c15U;
    print ^= print >> 29U;
  }
  return print;
}

}  // namespace

bool is_being_written(const fs::path& file) {
  const int fd = ::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) return false;
  // A lease to read is only given on a file that nobody has open for writing (fcntl(2)); file
  // systems without leases say EINVAL.
  const bool given = ::fcntl(fd, F_SETLEASE, F_RDLCK) == 0;
  const bool written = !given && errno == EAGAIN;
  if (given) ::fcntl(fd, F_SETLEASE, F_UNLCK);
  ::close(fd);
  return written;
}

ScanWatch::Look ScanWatch::look(Clock::time_point now) {
  Look look;
  std::error_code error;
  if (!fs::is_directory(folder_, error)) return look;  // away, as a stick that was pulled
  try {
    look.all = scan::expanded({folder_}, scan::has_scan_extension);
  } catch (const InputError&) {
    return look;  // it may come back
  }
  std::map<fs::path, Seen> seen;
  for (const fs::path& file : look.all) {
    const auto print = print_of(file);
    if (!print) continue;
    const auto before = seen_.find(file);
    const bool same = before != seen_.end() && before->second.print == *print;
    const Seen here = same ? before->second : Seen{*print, now};
    seen.emplace(file, here);
    if (same && now - here.since >= kStill && !is_being_written(file)) {
      look.settled.push_back({file, *print});
    }
  }
  seen_ = std::move(seen);
  return look;
}

}  // namespace basefog::desk

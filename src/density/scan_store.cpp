// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/scan_store.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <exception>
#include <functional>
#include <string_view>
#include <thread>
#include <utility>
#include <vector>

#include "density/record_bytes.hpp"

namespace basefog::density {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view kEnding = ".kept";
/// Of the store, that one entry may take: pictures for large proofs would push all else out.
constexpr std::uint64_t kLargestShare = 16;
/// Of the store, that is written before the folder is looked through again.
constexpr std::uint64_t kUncheckedShare = 16;
/// Of the store, that is left when it was full, so that not every write has to make room.
constexpr double kLeftWhenFull = 0.9;

/// Reads a whole file and marks it as used now; absent where that cannot be done.
std::optional<std::string> content_of(const fs::path& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
  if (fd < 0) return std::nullopt;
  struct stat status {};
  std::string content;
  std::size_t read = 0;
  if (::fstat(fd, &status) == 0 && S_ISREG(status.st_mode)) {
    content.resize(static_cast<std::size_t>(status.st_size));
    while (read < content.size()) {
      const ssize_t some = ::read(fd, content.data() + read, content.size() - read);
      if (some <= 0) break;
      read += static_cast<std::size_t>(some);
    }
    ::futimens(fd, nullptr);
  }
  ::close(fd);
  if (read == 0 || read < content.size()) return std::nullopt;
  return content;
}

/// Writes a file whole or not at all; not flushed to disk, since its checksum shows what a loss of
/// power left of it.
bool write_entry(const fs::path& path, std::string_view content) {
  const auto thread = std::hash<std::thread::id>()(std::this_thread::get_id());
  const std::string part =
      path.string() + "." + std::to_string(::getpid()) + "-" + std::to_string(thread) + ".part";
  const int fd = ::open(part.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (fd < 0) return false;
  bool written = true;
  while (written && !content.empty()) {
    const ssize_t some = ::write(fd, content.data(), content.size());
    written = some > 0;
    if (written) content.remove_prefix(static_cast<std::size_t>(some));
  }
  written = ::close(fd) == 0 && written && ::rename(part.c_str(), path.c_str()) == 0;
  if (!written) ::unlink(part.c_str());
  return written;
}

/// A file of the store: an entry, or what a run that was killed left of one.
struct Kept {
  fs::file_time_type used;
  std::uint64_t bytes = 0;
  fs::path path;
};

std::vector<Kept> kept_in(const fs::path& folder) {
  std::vector<Kept> kept;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (it->path().filename().string().find(kEnding) == std::string::npos) continue;
    std::error_code gone;  // another program's work
    const Kept one{it->last_write_time(gone), it->file_size(gone), it->path()};
    if (!gone) kept.push_back(one);
  }
  return kept;
}

}  // namespace

ScanStore::ScanStore(fs::path folder, std::uint64_t most_bytes)
    : folder_(std::move(folder)), most_bytes_(most_bytes) {}

fs::path ScanStore::file_of(const std::string& key) const {
  // Two keys of one name push each other out, for an entry holds its whole key.
  std::array<char, 48> name{};
  std::snprintf(name.data(), name.size(), "%016zx", std::hash<std::string>()(key));
  return folder_ / (std::string(name.data()).append(kEnding));
}

std::optional<ScanRecord> ScanStore::find(const std::string& key) const noexcept try {
  const std::optional<std::string> bytes = content_of(file_of(key));
  return bytes ? record_of_bytes(*bytes, key) : std::nullopt;
} catch (const std::exception&) {
  return std::nullopt;  // no memory
}

bool ScanStore::has_room_for(std::uint64_t bytes) const {
  std::error_code error;
  const fs::space_info disk = fs::space(folder_, error);
  return !error && disk.available != static_cast<std::uintmax_t>(-1) &&
         disk.available > bytes + most_bytes_;
}

void ScanStore::make_room() const {
  std::vector<Kept> kept = kept_in(folder_);
  std::uint64_t bytes = 0;
  for (const Kept& one : kept) bytes += one.bytes;
  if (bytes <= most_bytes_) return;
  std::ranges::sort(kept, {}, &Kept::used);
  for (const Kept& one : kept) {
    if (static_cast<double>(bytes) <= kLeftWhenFull * static_cast<double>(most_bytes_)) return;
    std::error_code gone;
    fs::remove(one.path, gone);
    bytes -= one.bytes;
  }
}

void ScanStore::keep(const std::string& key, const ScanRecord& record) noexcept try {
  if (closed_ || record.failure) return;
  const std::string bytes = record_bytes(record, key);
  if (bytes.size() > most_bytes_ / kLargestShare) return;
  std::error_code error;
  if (fs::create_directories(folder_, error)) {
    fs::permissions(folder_, fs::perms::owner_all, error);
  }
  if (error || !has_room_for(bytes.size()) || !write_entry(file_of(key), bytes)) {
    closed_ = true;
    return;
  }
  unchecked_ += bytes.size();
  if (looked_through_.exchange(true) && unchecked_ < most_bytes_ / kUncheckedShare) return;
  unchecked_ = 0;
  make_room();
} catch (const std::exception&) {
  closed_ = true;
}

}  // namespace basefog::density

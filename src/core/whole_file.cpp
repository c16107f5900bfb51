// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/whole_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <functional>
#include <string>
#include <system_error>
#include <utility>

#include "basefog/core/error.hpp"

namespace basefog {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path, int error) {
  throw InputError(ErrorCode::not_writable, path,
                   "could not be written (" + std::generic_category().message(error) + ")",
                   "name a folder that can be written to and has room");
}

/// A new file beside its final place, renamed there once it is whole. Its name follows from the
/// final name alone, so that what a killed run left is taken over by the next one that writes the
/// same file; a lock keeps two runs at the same time apart.
class PartFile {
 public:
  explicit PartFile(const std::filesystem::path& target) : target_(target) {
    // Short whatever the target's name, hidden, and of no ending that anything reads.
    constexpr const char* kEnding = ".part";
    std::array<char, 32> name{};
    std::snprintf(name.data(), name.size(), ".basefog-%016zx",
                  std::hash<std::string>{}(target.filename().string()));
    part_ = (target.parent_path() / name.data()).string() + kEnding;
    while (!open_and_lock()) {
    }
    if (::ftruncate(fd_, 0) != 0) give_up();
  }
  PartFile(const PartFile&) = delete;
  PartFile& operator=(const PartFile&) = delete;
  ~PartFile() { discard(); }

  void write(std::string_view content) {
    while (!content.empty()) {
      const ssize_t written = ::write(fd_, content.data(), content.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) give_up();
      content.remove_prefix(static_cast<std::size_t>(written));
    }
  }

  /// False where the target is there and `replace` is not.
  bool move_to_target(bool replace) {
    if (::fsync(fd_) != 0) give_up();
    const unsigned flags = replace ? 0 : RENAME_NOREPLACE;
    if (::renameat2(AT_FDCWD, part_.c_str(), AT_FDCWD, target_.c_str(), flags) != 0) {
      if (!replace && errno == EEXIST) return false;
      // Some file systems cannot rename without replacing; all that have links can link so.
      const bool unknown = !replace && (errno == EINVAL || errno == ENOSYS);
      if (!unknown || ::link(part_.c_str(), target_.c_str()) != 0) {
        if (unknown && errno == EEXIST) return false;
        give_up();
      }
      ::unlink(part_.c_str());
    }
    part_.clear();
    return true;
  }

 private:
  /// False where another run renamed or removed the file between opening and locking it.
  bool open_and_lock() {
    fd_ = ::open(part_.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd_ < 0) fail(target_, errno);
    int locked = 0;
    do {
      locked = ::flock(fd_, LOCK_EX);
    } while (locked != 0 && errno == EINTR);
    struct stat opened {};
    struct stat there {};
    if (locked != 0 || ::fstat(fd_, &opened) != 0) {
      const int error = errno;
      ::close(std::exchange(fd_, -1));
      fail(target_, error);
    }
    if (::lstat(part_.c_str(), &there) == 0 && there.st_ino == opened.st_ino &&
        there.st_dev == opened.st_dev) {
      return true;
    }
    ::close(std::exchange(fd_, -1));
    return false;
  }

  /// Removed before the lock is let go, so that nobody else's is.
  void discard() {
    if (!part_.empty()) ::unlink(part_.c_str());
    part_.clear();
    if (fd_ >= 0) ::close(std::exchange(fd_, -1));
  }

  [[noreturn]] void give_up() {
    const int error = errno;
    discard();
    fail(target_, error);
  }

  std::filesystem::path target_;
  std::string part_;
  int fd_ = -1;
};

bool write_file(const std::filesystem::path& path, std::string_view content, bool replace) {
  std::error_code error;
  if (path.has_parent_path()) std::filesystem::create_directories(path.parent_path(), error);
  if (error) fail(path, error.value());
  PartFile file(path);
  file.write(content);
  return file.move_to_target(replace);
}

}  // namespace

void write_whole_file(const std::filesystem::path& path, std::string_view content) {
  write_file(path, content, true);
}

bool write_new_file(const std::filesystem::path& path, std::string_view content) {
  return write_file(path, content, false);
}

}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/whole_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <system_error>
#include <utility>

#include "basefog/error.hpp"

namespace basefog {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path, int error) {
  throw InputError(ErrorCode::not_writable, path,
                   "could not be written (" + std::generic_category().message(error) + ")",
                   "name a folder that can be written to and has room");
}

/// A new file beside its final place; removed again unless it was renamed there.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::filesystem::path& target)
      : target_(target),
        name_(target.string() + ".XXXXXX"),
        fd_(::mkostemp(name_.data(), O_CLOEXEC)) {
    if (fd_ < 0) fail(target_, errno);
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  ~TemporaryFile() {
    if (fd_ >= 0) ::close(fd_);
    if (!name_.empty()) ::unlink(name_.c_str());
  }

  void write(std::string_view content) {
    while (!content.empty()) {
      const ssize_t written = ::write(fd_, content.data(), content.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) fail(target_, errno);
      content.remove_prefix(static_cast<std::size_t>(written));
    }
  }

  /// False where the target is there and `replace` is not.
  bool move_to_target(bool replace) {
    // mkostemp makes files that only the owner can read; results get the usual permissions.
    const mode_t mask = ::umask(0);
    ::umask(mask);
    if (::fchmod(fd_, 0666 & ~mask) != 0 || ::fsync(fd_) != 0) fail(target_, errno);
    if (::close(std::exchange(fd_, -1)) != 0) fail(target_, errno);
    const unsigned flags = replace ? 0 : RENAME_NOREPLACE;
    if (::renameat2(AT_FDCWD, name_.c_str(), AT_FDCWD, target_.c_str(), flags) != 0) {
      if (!replace && errno == EEXIST) return false;
      fail(target_, errno);
    }
    name_.clear();
    return true;
  }

 private:
  std::filesystem::path target_;
  std::string name_;
  int fd_;
};

}  // namespace

namespace {

bool write_file(const std::filesystem::path& path, std::string_view content, bool replace) {
  std::error_code error;
  if (path.has_parent_path()) std::filesystem::create_directories(path.parent_path(), error);
  if (error) fail(path, error.value());
  TemporaryFile file(path);
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

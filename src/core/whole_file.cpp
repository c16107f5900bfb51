// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/whole_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <functional>
#include <optional>
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

void write_all(int fd, std::string_view content, const std::function<void()>& give_up) {
  while (!content.empty()) {
    const ssize_t written = ::write(fd, content.data(), content.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return give_up();
    content.remove_prefix(static_cast<std::size_t>(written));
  }
}

/// The number of one of this process's open files that a path names. Opening such a path again
/// would write from its beginning where a shell appends.
std::optional<int> own_descriptor(const std::filesystem::path& path) {
  const std::string name = path.lexically_normal().string();
  if (name == "/dev/stdout") return STDOUT_FILENO;
  if (name == "/dev/stderr") return STDERR_FILENO;
  for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/"}) {
    if (!name.starts_with(folder)) continue;
    int number = 0;
    const char* end = name.data() + name.size();
    const auto [rest, error] = std::from_chars(name.data() + folder.size(), end, number);
    if (error == std::errc() && rest == end) return number;
  }
  return std::nullopt;
}

void write_stream(const std::filesystem::path& path, std::string_view content) {
  const std::optional<int> own = own_descriptor(path);
  const int fd =
      own ? ::fcntl(*own, F_DUPFD_CLOEXEC, 0) : ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (fd < 0) fail(path, errno);
  write_all(fd, content, [&] {
    const int error = errno;
    ::close(fd);
    fail(path, error);
  });
  if (::close(fd) != 0) fail(path, errno);
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
    write_all(fd_, content, [this] { give_up(); });
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

bool write_file(std::filesystem::path path, std::string_view content, bool replace) {
  std::error_code error;
  if (replace && std::filesystem::is_symlink(path, error)) {
    const std::filesystem::path target = std::filesystem::weakly_canonical(path, error);
    if (error) fail(path, error.value());
    path = target;
  }
  error.clear();  // of a file that is not there yet
  if (path.has_parent_path()) std::filesystem::create_directories(path.parent_path(), error);
  if (error) fail(path, error.value());
  PartFile file(path);
  file.write(content);
  return file.move_to_target(replace);
}

}  // namespace

bool is_stream(const std::filesystem::path& path) {
  if (own_descriptor(path)) return true;
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(path, error);
  return std::filesystem::is_fifo(status) || std::filesystem::is_character_file(status) ||
         std::filesystem::is_socket(status);
}

void write_whole_file(const std::filesystem::path& path, std::string_view content) {
  if (is_stream(path)) return write_stream(path, content);
  std::error_code error;
  if (std::filesystem::is_block_file(path, error)) {
    throw InputError(ErrorCode::not_writable, path, "is a disk or another block device",
                     "name a file");
  }
  write_file(path, content, true);
}

std::string name_within(const std::string& name, std::size_t most) {
  if (name.size() <= most) return name;
  constexpr std::size_t kNumber = 18;  // "_" and 16 digits and "_"
  std::array<char, kNumber + 1> number{};
  std::snprintf(number.data(), number.size(), "_%016zx_", std::hash<std::string>{}(name));
  const auto within_letter = [&name](std::size_t at) {
    return at < name.size() && (static_cast<unsigned char>(name[at]) & 0xC0) == 0x80;
  };
  std::size_t head = (most - kNumber) / 2;
  std::size_t tail = name.size() - (most - kNumber - head);
  while (head > 0 && within_letter(head)) --head;
  while (within_letter(tail)) ++tail;
  return name.substr(0, head) + number.data() + name.substr(tail);
}

bool write_new_file(const std::filesystem::path& path, std::string_view content) {
  return write_file(path, content, false);
}

}  // namespace basefog

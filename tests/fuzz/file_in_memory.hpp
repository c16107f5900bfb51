// SPDX-License-Identifier: GPL-3.0-or-later
// What takes a path gets a file that lives in memory only.
#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <filesystem>
#include <string>
#include <string_view>

#include "basefog/core/error.hpp"
#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {

class FileInMemory {
 public:
  explicit FileInMemory(std::string_view bytes) : descriptor_(memfd_create("fuzzed", 0)) {
    require(descriptor_ >= 0);
    require(write(descriptor_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()));
  }
  FileInMemory(const FileInMemory&) = delete;
  FileInMemory& operator=(const FileInMemory&) = delete;
  ~FileInMemory() { close(descriptor_); }

  std::filesystem::path path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

 private:
  int descriptor_;
};

/// Calls read with the path of a file that holds these bytes; to be refused is well too.
template <typename Read>
void read_as_file(std::string_view bytes, const Read& read) {
  const FileInMemory file(bytes);
  try {
    read(file.path());
  } catch (const InputError&) {
    // Refused with a reason.
  }
}

}  // namespace basefog::test

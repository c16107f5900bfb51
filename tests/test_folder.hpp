// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

namespace basefog::test {

/// A folder of this test process alone, removed when it ends: ctest runs tests beside each other,
/// so a name under the common temporary folder would be written by two at once.
inline const std::filesystem::path& test_folder() {
  struct Folder {
    Folder() {
      std::string name = (std::filesystem::temp_directory_path() / "basefog-test-XXXXXX").string();
      if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
      path = name;
    }
    ~Folder() {
      std::error_code ignored;
      std::filesystem::remove_all(path, ignored);
    }
    std::filesystem::path path;
  };
  static const Folder folder;
  return folder.path;
}

}  // namespace basefog::test

// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/draws.hpp"

#include <cstdlib>
#include <stdexcept>

#include "simulator/image_files.hpp"

namespace validation {
namespace fs = std::filesystem;

ScratchFolder::ScratchFolder() {
  std::string name = (fs::temp_directory_path() / "basefog-validation-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
  path_ = name;
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::vector<Scene> scenes_in(const fs::path& folder) {
  if (folder.empty()) {
    return {{"gradient of 5 stops", simulator::gradient_panorama(5)},
            {"gradient of 7 stops", simulator::gradient_panorama(7)},
            {"disc", simulator::disc_panorama(20, 3)}};
  }
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder)) {
    const std::string extension = entry.path().extension().string();
    if (extension == ".exr" || extension == ".hdr") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  std::vector<Scene> scenes;
  for (const fs::path& file : files) {
    scenes.push_back({file.stem().string(), simulator::read_panorama(file)});
  }
  if (scenes.empty()) throw std::runtime_error("no panoramas in " + folder.string());
  return scenes;
}

}  // namespace validation

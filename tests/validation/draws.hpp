// SPDX-License-Identifier: GPL-3.0-or-later
// What the studies share: named random draws, scenes, a folder of their own.
#pragma once

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "simulator/noise.hpp"
#include "simulator/panorama.hpp"

namespace validation {

/// A stream of random numbers with names for what is drawn; the same on every run.
class Draw {
 public:
  explicit Draw(simulator::Noise noise) : noise_(noise) {}
  double uniform(double low, double high) { return low + (high - low) * noise_.uniform(count_++); }
  double normal(double mean, double sigma) { return mean + sigma * noise_.normal(count_++); }
  bool chance(double share) { return uniform(0, 1) < share; }
  std::size_t index(std::size_t size) {
    return std::min(size - 1, static_cast<std::size_t>(uniform(0, static_cast<double>(size))));
  }
  std::uint64_t seed() { return static_cast<std::uint64_t>(uniform(1, 1e9)); }

 private:
  simulator::Noise noise_;
  std::uint64_t count_ = 0;
};

/// A folder of its own, so that studies can run side by side; gone with the object.
class ScratchFolder {
 public:
  ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  ~ScratchFolder();
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

struct Scene {
  std::string name;
  simulator::Panorama panorama;
};

/// Panoramas (.exr and .hdr) of a folder, by name; without one, made-up ones that a quick test can
/// do with. Throws std::runtime_error where a folder has none.
std::vector<Scene> scenes_in(const std::filesystem::path& folder);

}  // namespace validation

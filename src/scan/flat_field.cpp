// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/flat_field.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <memory>
#include <mutex>
#include <numeric>
#include <string>
#include <tuple>

#include "basefog/core/error.hpp"

namespace basefog::scan {
namespace {

/// Blocks darker than this share of the light's brightest are off the light source (judgement).
constexpr double kDarkShare = 0.02;
/// Share of clipped pixels from which on the light counts as clipped (judgement).
constexpr double kClippedShare = 0.001;
/// Two exposures that differ by more, in stops, are not the same: a third of a third, for marks
/// that are rounded.
constexpr double kExposureTolerance = 0.1;
/// Film is no brighter than bare light. Transmittance above this, on more than the share below it
/// of the blocks, means that the exposures differ; noise and drift stay under it.
constexpr double kMostTransmittance = 1.05;
constexpr double kBrighterShare = 0.005;  // of the blocks that have light; dust moved (judgement)
/// Shots of the light that are kept: one roll uses one, or one each way up.
constexpr std::size_t kKeptLights = 2;

/// What decides how a shot of the light reads.
using LightKey = std::tuple<std::filesystem::path, std::filesystem::file_time_type, int, int,
                            std::string, response::ResponseKind, double>;

LightKey key_of(const ReadOptions& options, int orientation) {
  std::error_code no_time;
  const auto time = std::filesystem::last_write_time(*options.light, no_time);
  const response::Response response = options.response.value_or(response::Response{});
  return {*options.light,           time,          options.most_blocks, orientation,
          name_of(response.source), response.kind, response.gamma};
}

/// Reads the light once a roll. Threads that need it while it is being read wait for it.
std::shared_ptr<const FileRead> light_for(const ReadOptions& options, int orientation) {
  static std::mutex one_at_a_time;
  static std::deque<std::pair<LightKey, std::shared_ptr<const FileRead>>> kept;
  const std::lock_guard lock(one_at_a_time);
  const LightKey key = key_of(options, orientation);
  const auto found =
      std::find_if(kept.begin(), kept.end(), [&](const auto& one) { return one.first == key; });
  if (found != kept.end()) return found->second;
  auto light = std::make_shared<const FileRead>(read_file(*options.light, options, orientation));
  kept.emplace_front(key, light);
  if (kept.size() > kKeptLights) kept.pop_back();
  return light;
}

void check_fit(const Scan& scan, const Scan& light) {
  const auto size = [](const Scan& s) {
    return std::to_string(s.width) + " x " + std::to_string(s.height) + " pixels";
  };
  if (light.width != scan.width || light.height != scan.height)
    throw InputError(ErrorCode::usage, scan.path,
                     "has " + size(scan) + " but the shot of the light, " + light.path.string() +
                         ", has " + size(light),
                     "shoot the bare light with the same camera and the same crop");
  if (light.blocks.channels != scan.blocks.channels && light.blocks.channels != 1)
    throw InputError(ErrorCode::usage, scan.path,
                     "is gray but the shot of the light, " + light.path.string() + ", is in colour",
                     "shoot both in the same way");
}

double clipped_share(const decode::BlockImage& blocks) {
  const double sum = std::accumulate(blocks.clipped.begin(), blocks.clipped.end(), 0.0);
  return sum / 255 / static_cast<double>(std::max<std::size_t>(1, blocks.clipped.size()));
}

/// Divides one channel. Returns the share of its blocks that came out brighter than the light.
double divide_channel(Scan& scan, const decode::BlockImage& light, int channel) {
  decode::BlockImage& blocks = scan.blocks;
  const std::size_t count = static_cast<std::size_t>(blocks.width) * blocks.height;
  const std::size_t first = blocks.index(channel, 0, 0);
  const float* lamp = &light.mean[light.channels == 1 ? 0 : first];
  const double darkest_lamp = kDarkShare * *std::max_element(lamp, lamp + count);
  std::size_t brighter = 0;
  double lamp_sum = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const bool dark = !(lamp[i] > darkest_lamp);
    const float factor = dark ? 0.0F : 1.0F / lamp[i];
    blocks.mean[first + i] *= factor;
    blocks.variance[first + i] *= factor * factor;
    if (dark) blocks.floored[first + i] = 255;
    if (blocks.mean[first + i] > kMostTransmittance) ++brighter;
    lamp_sum += lamp[i];
  }
  if (lamp_sum > 0) scan.darkest[channel] *= static_cast<double>(count) / lamp_sum;
  return static_cast<double>(brighter) / static_cast<double>(count);
}

}  // namespace

void divide_by_light(FileRead& file, const ReadOptions& options) {
  const std::shared_ptr<const FileRead> light = light_for(options, file.orientation);
  Scan& scan = file.scan;
  check_fit(scan, light->scan);
  if (clipped_share(light->scan.blocks) > kClippedShare) scan.flags.insert(Flag::light_clipped);
  bool same_exposure = true;
  if (file.copy_exposure && light->copy_exposure)
    same_exposure =
        std::abs(std::log2(*file.copy_exposure / *light->copy_exposure)) < kExposureTolerance;
  for (int c = 0; c < scan.blocks.channels; ++c)
    same_exposure &= divide_channel(scan, light->scan.blocks, c) < kBrighterShare;
  if (!same_exposure) scan.flags.insert(Flag::light_exposure_differs);
  scan.light_known = same_exposure && !scan.flags.contains(Flag::light_clipped);
}

void divide_window_by_light(decode::BlockImage& window, int left, int top, int orientation,
                            const ReadOptions& options) {
  const std::shared_ptr<const FileRead> light = light_for(options, orientation);
  const decode::BlockImage& lamp = light->scan.blocks;
  const double scale = static_cast<double>(window.block_side) / lamp.block_side;
  const auto at = [&](int first, int block, int blocks) {
    const double pixels = (block + 0.5) * scale + static_cast<double>(first) / lamp.block_side;
    return std::clamp(static_cast<int>(pixels), 0, blocks - 1);
  };
  for (int c = 0; c < window.channels; ++c) {
    const int from = lamp.channels == 1 ? 0 : c;
    for (int y = 0; y < window.height; ++y) {
      const int lamp_y = at(top, y, lamp.height);
      for (int x = 0; x < window.width; ++x) {
        const float bare = lamp.mean[lamp.index(from, at(left, x, lamp.width), lamp_y)];
        window.mean[window.index(c, x, y)] /= std::max(bare, static_cast<float>(kDarkShare));
      }
    }
  }
}

}  // namespace basefog::scan

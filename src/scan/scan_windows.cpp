// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_windows.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "decode/block_accumulator.hpp"
#include "decode/light_table.hpp"
#include "decode/orientation.hpp"
#include "scan/flat_field.hpp"
#include "scan/read_file.hpp"

namespace basefog::scan {
namespace {

/// Blocks of one axis that cover from `from` to `to`, of as many as `pixels` give.
struct BlockRange {
  int first = 0;
  int count = 0;
};

BlockRange blocks_over(double from, double to, int pixels, int side) {
  const int blocks = (pixels + side - 1) / side;
  const int first = std::clamp(static_cast<int>(std::floor(from / side)), 0, blocks);
  const int end = std::clamp(static_cast<int>(std::ceil(to / side)), first, blocks);
  return {first, end - first};
}

}  // namespace

void read_windows(const std::filesystem::path& path, const ReadOptions& options, int block_side,
                  std::span<const ScanWindow> windows, const TakeWindow& take) {
  const OpenFile open = open_file(path, options);
  const decode::Picture& picture = open.picture;
  const bool turned = decode::exchanges_axes(picture.orientation);
  const int width = turned ? picture.height : picture.width;
  const int height = turned ? picture.width : picture.height;
  std::vector<decode::BlockWindow> places;
  for (const ScanWindow& window : windows) {
    const BlockRange across = blocks_over(window.left, window.right, width, block_side);
    const BlockRange down = blocks_over(window.top, window.bottom, height, block_side);
    places.push_back({across.first, down.first, across.count, down.count});
  }
  const decode::LightTable light(picture, open.response);
  decode::BlockAccumulator rows(
      picture, light, block_side, places, [&](std::size_t i, decode::BlockImage blocks) {
        WindowRead read{places[i].x * block_side, places[i].y * block_side, std::move(blocks)};
        if (options.light) {
          divide_window_by_light(read.blocks, read.left, read.top, picture.orientation, options);
        }
        take(i, read);
      });
  open.decoder->decode(rows);
}

}  // namespace basefog::scan

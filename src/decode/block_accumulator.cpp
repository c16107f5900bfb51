// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/block_accumulator.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "decode/orientation.hpp"

namespace basefog::decode {
namespace {

int divide_up(int a, int b) { return (a + b - 1) / b; }

/// 0 only for none and 255 only for all.
std::uint8_t share_of_255(double count, int of) {
  if (count <= 0) return 0;
  if (count >= of) return 255;
  return static_cast<std::uint8_t>(std::clamp(255.0 * count / of, 1.0, 254.0));
}

}  // namespace

int block_side_for(int width, int height, int most_blocks) {
  const double area = static_cast<double>(width) * height;
  int side = std::max(1, static_cast<int>(std::sqrt(area / most_blocks)));
  const auto blocks = [&](int s) {
    return static_cast<std::int64_t>(divide_up(width, s)) * divide_up(height, s);
  };
  while (blocks(side) > most_blocks) ++side;
  return side;
}

BlockAccumulator::BlockAccumulator(const Picture& picture, const LightTable& light, int most_blocks)
    : BlockAccumulator(picture, light, block_side_for(picture.width, picture.height, most_blocks),
                       {}, nullptr) {
  parts_.push_back({{0, 0, static_cast<int>(edges_.size()) - 1, block_rows_}, {}});
  allocate(parts_.front());
}

BlockAccumulator::BlockAccumulator(const Picture& picture, const LightTable& light, int side,
                                   std::span<const BlockWindow> windows, TakeWindow take)
    : width_(picture.width),
      height_(picture.height),
      channels_(picture.channels),
      orientation_(picture.orientation),
      side_(side),
      take_(std::move(take)) {
  // The upright picture has whole blocks at its upper left, so a stored picture that is turned over
  // begins with the partial ones.
  const int columns = divide_up(width_, side_);
  block_rows_ = divide_up(height_, side_);
  const int pad_x = flips_columns(orientation_) ? columns * side_ - width_ : 0;
  pad_y_ = flips_rows(orientation_) ? block_rows_ * side_ - height_ : 0;
  for (int b = 0; b < columns; ++b) edges_.push_back(std::max(0, b * side_ - pad_x));
  edges_.push_back(width_);

  if (picture.kind == SampleKind::u8)
    bytes_.emplace(light, channels_, edges_);
  else
    columns_.emplace(light, channels_, edges_);
  for (const BlockWindow& window : windows) parts_.push_back({as_stored(window), {}});
}

BlockWindow BlockAccumulator::as_stored(const BlockWindow& upright) const {
  BlockWindow stored = upright;
  if (exchanges_axes(orientation_)) {
    stored = {upright.y, upright.x, upright.height, upright.width};
  }
  if (flips_columns(orientation_)) {
    stored.x = static_cast<int>(edges_.size()) - 1 - stored.x - stored.width;
  }
  if (flips_rows(orientation_)) stored.y = block_rows_ - stored.y - stored.height;
  return stored;
}

void BlockAccumulator::allocate(Part& part) const {
  BlockImage& image = part.image;
  image.width = part.place.width;
  image.height = part.place.height;
  image.channels = channels_;
  image.block_side = side_;
  const std::size_t blocks = static_cast<std::size_t>(image.width) * image.height * channels_;
  image.mean.resize(blocks);
  image.variance.resize(blocks);
  image.clipped.resize(blocks);
  image.floored.resize(blocks);
}

void BlockAccumulator::end_row() {
  if (columns_) columns_->end_row();
  ++rows_;
  ++rows_in_block_;
  if ((rows_ + pad_y_) % side_ == 0 || rows_ == height_) end_block_row();
}

/// The present row of blocks, where the part has one.
void BlockAccumulator::keep_row(Part& part) const {
  const int row = finished_block_rows_ - part.place.y;
  for (int c = 0; c < channels_; ++c) {
    for (int x = 0; x < part.place.width; ++x) {
      const std::size_t b = static_cast<std::size_t>(part.place.x) + x;
      const BlockSums sums = bytes_ ? bytes_->sums(b, c) : columns_->sums(b, c);
      const int pixels = (edges_[b + 1] - edges_[b]) * rows_in_block_;
      const double difference = sums.light / pixels;
      const double mean = sums.origin + difference;
      const double scatter = std::max(0.0, sums.squares - sums.light * difference);
      const std::size_t block = part.image.index(c, x, row);
      part.image.mean[block] = static_cast<float>(std::max(0.0, mean));
      part.image.variance[block] = pixels > 1 ? static_cast<float>(scatter / (pixels - 1)) : 0.0F;
      part.image.clipped[block] = share_of_255(sums.clipped, pixels);
      part.image.floored[block] = share_of_255(sums.floored, pixels);
    }
  }
}

void BlockAccumulator::end_block_row() {
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    Part& part = parts_[i];
    const int row = finished_block_rows_ - part.place.y;
    if (row < 0 || row >= part.place.height) continue;
    if (part.image.mean.empty()) allocate(part);
    keep_row(part);
    if (!take_ || row + 1 < part.place.height) continue;
    take_(i, upright(std::move(part.image), part.place.height, orientation_));
    part.image = {};
  }
  if (bytes_)
    bytes_->clear();
  else
    columns_->clear();
  ++finished_block_rows_;
  rows_in_block_ = 0;
}

BlockImage BlockAccumulator::finish() {
  // A last row of blocks that the file cut short: its blocks are whole in width and stand at the
  // upright picture's lower or right edge, where partial blocks may be. Turned over it would stand
  // at the upper or left edge, where they may not.
  if (rows_in_block_ > 0 && (!flips_rows(orientation_) || finished_block_rows_ == 0))
    end_block_row();
  rows_ -= rows_in_block_;
  return upright(std::move(parts_.front().image), finished_block_rows_, orientation_);
}

}  // namespace basefog::decode

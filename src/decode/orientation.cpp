// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/orientation.hpp"

#include <utility>

namespace basefog::decode {
namespace {

/// Takes `stored` by value so that its memory is given back as soon as it is turned.
template <class Value>
std::vector<Value> turned(std::vector<Value> stored, const BlockImage& from, const BlockImage& to,
                          int rows, int orientation) {
  std::vector<Value> out(static_cast<std::size_t>(to.width) * to.height * to.channels);
  for (int c = 0; c < from.channels; ++c) {
    for (int row = 0; row < rows; ++row) {
      const int y = flips_rows(orientation) ? rows - 1 - row : row;
      for (int column = 0; column < from.width; ++column) {
        const int x = flips_columns(orientation) ? from.width - 1 - column : column;
        const std::size_t place =
            exchanges_axes(orientation) ? to.index(c, y, x) : to.index(c, x, y);
        out[place] = stored[from.index(c, column, row)];
      }
    }
  }
  return out;
}

}  // namespace

bool flips_columns(int orientation) {
  return orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
}

bool flips_rows(int orientation) {
  return orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
}

bool exchanges_axes(int orientation) { return orientation >= 5 && orientation <= 8; }

BlockImage upright(BlockImage stored, int rows, int orientation) {
  const bool turned_over =
      flips_columns(orientation) || flips_rows(orientation) || exchanges_axes(orientation);
  if (!turned_over && rows == stored.height) return stored;
  BlockImage out;
  out.width = exchanges_axes(orientation) ? rows : stored.width;
  out.height = exchanges_axes(orientation) ? stored.width : rows;
  out.channels = stored.channels;
  out.block_side = stored.block_side;
  out.mean = turned(std::move(stored.mean), stored, out, rows, orientation);
  out.variance = turned(std::move(stored.variance), stored, out, rows, orientation);
  out.clipped = turned(std::move(stored.clipped), stored, out, rows, orientation);
  out.floored = turned(std::move(stored.floored), stored, out, rows, orientation);
  return out;
}

}  // namespace basefog::decode

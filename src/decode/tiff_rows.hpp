// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "decode/tiff_file.hpp"

namespace basefog::decode {

/// Reads a page band by band: a strip, or a row of tiles; of every plane that is asked for. Strips
/// that are compressed and too large to hold twice are read row by row instead.
class TiffRows {
 public:
  /// The page must be the file's present directory; planes is 1 for contiguous samples. Throws
  /// InputError (unreadable) where a band is larger than any sound file's.
  TiffRows(const TiffFile& file, const TiffPage& page, int planes);

  /// Reads the next band. False at the end and where the file is damaged.
  bool next();
  int rows() const { return rows_; }      ///< of the present band
  int pieces() const { return pieces_; }  ///< side by side in a band
  int first_column(int piece) const { return piece * piece_width_; }
  int columns(int piece) const;
  const std::byte* samples(int plane, int piece, int row) const {
    return bands_[plane].get() + piece * piece_bytes_ + row * row_bytes_;
  }

 private:
  bool read_strip();
  bool read_start_of_strip();
  bool read_tiles();
  bool read_scanline();

  const TiffFile& file_;
  TiffPage page_;
  std::uint32_t width_;
  std::uint32_t height_;
  int planes_;
  bool tiled_ = false;
  bool by_scanline_ = false;
  int pieces_ = 1;
  int piece_width_ = 0;
  std::uint32_t band_rows_ = 0;
  std::size_t piece_bytes_ = 0;
  std::size_t row_bytes_ = 0;  ///< of one piece
  std::uint32_t y_ = 0;        ///< first row of the next band
  int rows_ = 0;
  std::vector<std::unique_ptr<std::byte[]>> bands_;
};

}  // namespace basefog::decode

// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/jpeg_writer.hpp"

#include <array>
#include <cstdio>
#include <memory>
#include <stdexcept>
// libjpeg's header needs FILE, and so comes after <cstdio>.
#include <jpeglib.h>

namespace basefog::print {
namespace {

/// libjpeg's own handler ends the program. Throwing through it is sound: Debian builds it with
/// unwind tables, and its state is released by the caller's guard.
[[noreturn]] void throw_error(j_common_ptr info) {
  std::array<char, JMSG_LENGTH_MAX> text{};
  info->err->format_message(info, text.data());
  throw std::runtime_error(std::string("JPEG encoder: ") + text.data());
}

}  // namespace

std::vector<std::uint8_t> encode_jpeg(const Positive& picture, int quality,
                                      std::span<const std::uint8_t> profile,
                                      const std::string& comment) {
  jpeg_error_mgr errors{};
  jpeg_compress_struct info{};
  info.err = jpeg_std_error(&errors);
  errors.error_exit = throw_error;
  jpeg_create_compress(&info);
  const auto destroy = [](jpeg_compress_struct* i) { jpeg_destroy_compress(i); };
  const std::unique_ptr<jpeg_compress_struct, decltype(destroy)> guard(&info, destroy);

  // Room for more than any picture takes, so that libjpeg never makes a buffer of its own, which
  // would be lost when it throws.
  const std::size_t stride = static_cast<std::size_t>(picture.width) * picture.channels;
  constexpr std::size_t kHeaders = 1 << 16;
  std::vector<std::uint8_t> room(2 * stride * picture.height + profile.size() + comment.size() +
                                 kHeaders);
  unsigned char* buffer = room.data();
  unsigned long size = room.size();
  jpeg_mem_dest(&info, &buffer, &size);
  info.image_width = static_cast<JDIMENSION>(picture.width);
  info.image_height = static_cast<JDIMENSION>(picture.height);
  info.input_components = picture.channels;
  info.in_color_space = picture.channels == 1 ? JCS_GRAYSCALE : JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  info.optimize_coding = TRUE;
  jpeg_start_compress(&info, TRUE);
  if (!profile.empty()) {
    jpeg_write_icc_profile(&info, profile.data(), static_cast<unsigned>(profile.size()));
  }
  if (!comment.empty()) {
    jpeg_write_marker(&info, JPEG_COM, reinterpret_cast<const JOCTET*>(comment.data()),
                      static_cast<unsigned>(comment.size()));
  }
  while (info.next_scanline < info.image_height) {
    auto* row = const_cast<JSAMPLE*>(picture.samples.data() + info.next_scanline * stride);
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  room.resize(size);
  return room;
}

}  // namespace basefog::print

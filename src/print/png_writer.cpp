// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/png_writer.hpp"

#include <png.h>

#include <stdexcept>

namespace basefog::print {

std::string encode_png(std::span<const std::uint8_t> rgb, int width, int height) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(width);
  image.height = static_cast<png_uint_32>(height);
  image.format = PNG_FORMAT_RGB;
  png_alloc_size_t size = 0;
  const auto write = [&](void* to) {
    if (png_image_write_to_memory(&image, to, &size, 0, rgb.data(), 0, nullptr) == 0) {
      throw std::runtime_error(std::string("PNG encoder: ") + image.message);
    }
  };
  write(nullptr);  // the size alone
  std::string out(size, '\0');
  write(out.data());
  out.resize(size);
  return out;
}

}  // namespace basefog::print

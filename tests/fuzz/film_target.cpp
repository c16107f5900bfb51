// SPDX-License-Identifier: GPL-3.0-or-later
// Finding and measuring film on block images that are drawn by bytes: rectangles of a density, so
// that a fuzzer soon draws strips, holes and edges.
#include <algorithm>
#include <cmath>
#include <string_view>

#include "basefog/area/film_area.hpp"
#include "basefog/density/density.hpp"
#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {
namespace {

/// Bytes one after another; 0 once they are used up.
class Bytes {
 public:
  explicit Bytes(std::string_view bytes) : bytes_(bytes) {}
  bool any() const { return at_ < bytes_.size(); }
  int next() { return any() ? static_cast<unsigned char>(bytes_[at_++]) : 0; }

 private:
  std::string_view bytes_;
  std::size_t at_ = 0;
};

/// 0 to 4 density.
float light_of(int byte) { return std::pow(10.0F, static_cast<float>(byte) / -64.0F); }

/// A picture up to 256 / shrunk blocks wide and high.
scan::Scan drawn(Bytes& bytes, int shrunk) {
  scan::Scan scan;
  scan.path = "fuzzed.tif";
  scan.format = "TIFF";
  decode::BlockImage& b = scan.blocks;
  b.width = 1 + bytes.next() / shrunk;
  b.height = 1 + bytes.next() / shrunk;
  const int kind = bytes.next();
  b.channels = (kind & 1) != 0 ? 3 : 1;
  b.block_side = 1 + (kind >> 1) % 8;
  scan.light_known = (kind & 16) != 0;
  scan.width = b.width * b.block_side;
  scan.height = b.height * b.block_side;
  const std::size_t size = b.index(b.channels, 0, 0);
  b.mean.assign(size, light_of(bytes.next()));
  b.variance.assign(size, 1e-6F);
  b.clipped.assign(size, 0);
  b.floored.assign(size, 0);
  scan.darkest.assign(b.channels, 2e-5);
  while (bytes.any()) {
    const int x0 = bytes.next() / shrunk % b.width;
    const int y0 = bytes.next() / shrunk % b.height;
    const int x1 = std::min(b.width, x0 + 1 + bytes.next() / shrunk);
    const int y1 = std::min(b.height, y0 + 1 + bytes.next() / shrunk);
    const float light = light_of(bytes.next());
    const int grain = bytes.next();
    for (int c = 0; c < b.channels; ++c) {
      for (int y = y0; y < y1; ++y) {
        for (int x = x0; x < x1; ++x) {
          // Grain of a sort, the same on every run.
          const auto noise = static_cast<float>((x * 73 + y * 151 + c * 29) * 2654435761U % 256);
          const std::size_t i = b.index(c, x, y);
          b.mean[i] = std::clamp(light * (1 + static_cast<float>(grain) * (noise - 128) * 2e-5F),
                                 0.0F, 1.0F);
          b.clipped[i] = b.mean[i] >= 1 ? 255 : 0;
          b.floored[i] = b.mean[i] <= 2e-5F ? 255 : 0;
        }
      }
    }
  }
  return scan;
}

void require_sense(const area::FrameRegion& region) {
  require(std::isfinite(region.centre_x) && std::isfinite(region.centre_y));
  require(region.width > 0 && region.height > 0);
  require(std::isfinite(region.width) && std::isfinite(region.height));
  require(std::abs(region.angle_degrees) <= 45);
}

void find_and_measure(Bytes& bytes, int shrunk) {
  // What a person may say of the film.
  constexpr std::string_view kLayouts[] = {"",
                                           "",
                                           "single",
                                           "strip",
                                           "sheet",
                                           "24x36",
                                           "strip,24x36,frames=4",
                                           "sheet,60x60,frames=3,order=up"};
  const std::string_view words = kLayouts[bytes.next() % std::size(kLayouts)];
  const scan::Scan scan = drawn(bytes, shrunk);
  const area::LayoutHint hint = words.empty() ? area::LayoutHint{} : area::parse_layout(words);
  const area::FilmLayout layout = area::find_film(scan, hint);
  require(!layout.frames.empty());
  require(layout.kind.size() == static_cast<std::size_t>(scan.blocks.width) * scan.blocks.height);
  require(layout.frame_flags.size() == layout.frames.size());
  std::size_t in_strips = 0;
  for (const area::FilmStrip& strip : layout.strips) in_strips += strip.frames;
  require(in_strips == layout.frames.size());
  for (const area::FrameRegion& region : layout.frames) require_sense(region);
  for (const area::FrameRegion& region : layout.frameless) require_sense(region);
  for (const density::FrameMeasurement& frame : density::measure_frames(scan, layout)) {
    for (const float d : frame.apertures.density) require(std::isfinite(d));
    for (const float s : frame.apertures.sigma) require(std::isfinite(s) && s >= 0);
  }
}

}  // namespace

void fuzz_film(std::string_view data) {
  Bytes bytes(data);
  find_and_measure(bytes, 1);
}

void fuzz_small_film(std::string_view data) {
  // Film and holes of a few blocks, and so many times as many pictures in the same time.
  Bytes bytes(data);
  find_and_measure(bytes, 4 << (data.size() % 3));
}

}  // namespace basefog::test

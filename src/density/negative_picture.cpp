// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/negative_picture.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>
#include <sstream>
#include <utility>
#include <vector>

#include "area/even_density.hpp"
#include "basefog/density/scan_store.hpp"
#include "density/frame_sampler.hpp"
#include "density/reading_apart.hpp"
#include "density/store_key.hpp"
#include "scan/scan_windows.hpp"

namespace basefog::density {
namespace {

/// Density in steps of 1/1000, rounded. A picture has a million: a polynomial says where the
/// rounding is plain, and only near the border of two steps is the logarithm taken.
std::uint16_t millidensity_of(double light) {
  // log2(1 + t) as t + t (1 - t) p(t), p through the Chebyshev nodes: to 7.3e-6, 0.0022 steps.
  constexpr std::array<double, 5> kP = {0.442654, -0.27657, 0.184101, -0.097202, 0.025691};
  constexpr double kMilliPerOctave = 301.029995664;
  constexpr double kUnsure = 0.01;
  if (light > area::kLeastLight && light < 1) {
    const auto bits = std::bit_cast<std::uint64_t>(light);
    const int exponent = static_cast<int>(bits >> 52) - 1023;
    const double t = std::bit_cast<double>((bits & 0xfffffffffffffU) | 0x3ff0000000000000U) - 1;
    const double p = kP[0] + t * (kP[1] + t * (kP[2] + t * (kP[3] + t * kP[4])));
    const double above = 0.5 - kMilliPerOctave * (exponent + t + t * (1 - t) * p);
    const int milli = static_cast<int>(above);
    const double rest = above - milli;
    if (rest > kUnsure && rest < 1 - kUnsure) return static_cast<std::uint16_t>(milli);
  }
  const double milli = 1000.0 * density_of(light);
  return static_cast<std::uint16_t>(std::lround(std::clamp(milli, 0.0, 65535.0)));
}

/// The upright box in which a region lies.
scan::ScanWindow window_about(const area::FrameRegion& region) {
  const double a = region.angle_degrees * std::numbers::pi / 180;
  const double half_x =
      (region.width * std::abs(std::cos(a)) + region.height * std::abs(std::sin(a))) / 2;
  const double half_y =
      (region.width * std::abs(std::sin(a)) + region.height * std::abs(std::cos(a))) / 2;
  return {region.centre_x - half_x, region.centre_y - half_y, region.centre_x + half_x,
          region.centre_y + half_y};
}

/// What the store has of one scan's pictures: each as a record of one frame of which nothing else
/// is known.
class KeptPictures {
 public:
  KeptPictures(const std::filesystem::path& scan, const MeasureOptions& options, int long_side)
      : scan_(scan), options_(options), long_side_(long_side) {
    if (options.store && long_side <= kMostKeptSide) key_ = store_key(scan, options);
  }

  std::optional<NegativePicture> find(const area::FrameRegion& region) const {
    if (!key_) return std::nullopt;
    std::optional<ScanRecord> kept = options_.store->find(key_of(region));
    if (!kept || kept->frames.size() != 1) return std::nullopt;
    return std::move(kept->frames[0].negative);
  }

  void keep(const area::FrameRegion& region, const NegativePicture& picture) const {
    // A file that changed while it was read is not what the key says.
    if (!key_ || store_key(scan_, options_) != key_) return;
    FrameMeasurement frame;
    frame.state = FrameState::no_reference;
    frame.region = region;
    frame.scan_width = frame.scan_height = frame.bits_per_sample = 1;  // nobody asks
    frame.negative = picture;
    options_.store->keep(key_of(region), {.frames = {std::move(frame)}});
  }

 private:
  /// Larger ones, for proofs, would push all else out.
  static constexpr int kMostKeptSide = 1200;

  std::string key_of(const area::FrameRegion& region) const {
    std::ostringstream key;
    key << *key_ << std::hexfloat << "region " << region.centre_x << ' ' << region.centre_y << ' '
        << region.width << ' ' << region.height << ' ' << region.angle_degrees << "\nside "
        << long_side_;
    return key.str();
  }

  const std::filesystem::path& scan_;
  const MeasureOptions& options_;
  int long_side_;
  std::optional<std::string> key_;
};

/// read_pictures without store or other processes.
void decode_pictures(const std::filesystem::path& scan, const scan::ReadOptions& options,
                     std::span<const area::FrameRegion> regions, int long_side,
                     const TakeRegion& take) {
  std::vector<scan::ScanWindow> windows;
  double finest = std::numeric_limits<double>::infinity();
  for (const area::FrameRegion& region : regions) {
    windows.push_back(window_about(region));
    finest = std::min(finest, std::max(region.width, region.height) / long_side);
  }
  const int side = std::max(1, static_cast<int>(finest));
  scan::read_windows(scan, options, side, windows,
                     [&](std::size_t i, const scan::WindowRead& read) {
                       area::FrameRegion region = regions[i];
                       region.centre_x -= read.left;
                       region.centre_y -= read.top;
                       take(i, picture_of(read.blocks, region, long_side));
                     });
}

}  // namespace

NegativePicture picture_of(const decode::BlockImage& blocks, const area::FrameRegion& region,
                           int most) {
  const double longest = std::max(region.width, region.height);
  const double step = std::max(longest / most, static_cast<double>(blocks.block_side));
  const FrameSampler sampler(blocks, region);
  NegativePicture picture;
  picture.width = std::clamp(static_cast<int>(std::lround(region.width / step)), 1, most);
  picture.height = std::clamp(static_cast<int>(std::lround(region.height / step)), 1, most);
  picture.channels = blocks.channels;
  picture.millidensity.resize(static_cast<std::size_t>(picture.width) * picture.height *
                              picture.channels);
  const double sx = region.width / picture.width;
  const double sy = region.height / picture.height;
  const int n = std::clamp(static_cast<int>(std::ceil(step / blocks.block_side)), 1, 8);
  std::vector<FrameSampler::Place> columns;
  for (int k = 0; k < picture.width * n; ++k) {
    columns.push_back(sampler.across((k / n + (k % n + 0.5) / n) * sx));
  }
  std::array<FrameSampler::Place, 8> rows{};
  for (int y = 0; y < picture.height; ++y) {
    for (int k = 0; k < n; ++k) rows[k] = sampler.down((y + (k + 0.5) / n) * sy);
    for (int x = 0; x < picture.width; ++x) {
      double sum[3] = {0, 0, 0};
      for (int k = 0; k < n * n; ++k) {
        const std::size_t b = sampler.block_at(columns[x * n + k % n], rows[k / n]).index;
        for (int c = 0; c < picture.channels; ++c) sum[c] += sampler.light(c, b);
      }
      for (int c = 0; c < picture.channels; ++c) {
        const std::size_t i =
            (static_cast<std::size_t>(c) * picture.height + y) * picture.width + x;
        picture.millidensity[i] = millidensity_of(sum[c] / (n * n));
      }
    }
  }
  return picture;
}

PictureSize size_from_scan(const area::FrameRegion& region, int long_side) {
  const double step = std::max(1.0, std::max(region.width, region.height) / long_side);
  const auto pixels = [&](double length) {
    return std::clamp(static_cast<int>(std::lround(length / step)), 1, long_side);
  };
  return {pixels(region.width), pixels(region.height)};
}

void read_pictures(const std::filesystem::path& scan, const MeasureOptions& options,
                   std::span<const area::FrameRegion> regions, int long_side,
                   const TakeRegion& take) {
  const KeptPictures store(scan, options, long_side);
  std::vector<std::size_t> left;
  std::vector<area::FrameRegion> wanted;
  for (std::size_t i = 0; i < regions.size(); ++i) {
    if (std::optional<NegativePicture> kept = store.find(regions[i])) {
      take(i, *std::move(kept));
    } else {
      left.push_back(i);
      wanted.push_back(regions[i]);
    }
  }
  if (left.empty()) return;
  const auto decode = options.read.apart ? read_pictures_apart : decode_pictures;
  decode(scan, options.read, wanted, long_side, [&](std::size_t k, NegativePicture picture) {
    store.keep(wanted[k], picture);
    take(left[k], std::move(picture));
  });
}

}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
#include "page/frame_images.hpp"

#include <algorithm>
#include <array>

#include "basefog/page/html_page.hpp"
#include "basefog/roll/frame_pictures.hpp"
#include "core/base64.hpp"
#include "print/jpeg_writer.hpp"
#include "print/proof.hpp"

namespace basefog::page {
namespace {

/// Long sides, pixels, and the quality of the small ones.
constexpr int kStraightSide = 400;
constexpr int kScanSide = 320;
constexpr int kQuality = 76;
/// What the pictures of one frame may take of the page, bytes before they are written as text
/// (4/3): a page of 36 then stays under 10 MB. Longer rolls share what 36 have.
constexpr std::size_t kBytesOfFrame = 200'000;
constexpr std::size_t kFramesAtFullSize = 36;
/// The opened frame: the finest of these qualities that fits at its full size, else smaller ones.
/// Grain is what takes room; at 45 it is softer, and no edge of the picture is (judgement).
constexpr std::array kQualities{80, 70, 60, 52, 45};
constexpr std::array kSides{kOpenedSide, 1000, 840, 720, 600, 480};

using Bytes = std::vector<std::uint8_t>;

EncodedImage as_data(const Bytes& jpeg, int width, int height) {
  return {"data:image/jpeg;base64," + base64(jpeg), width, height};
}

/// A small picture; what it takes is taken off what is left.
std::optional<EncodedImage> small_image(const std::optional<print::Positive>& picture, int side,
                                        std::size_t& left) {
  if (!picture) return std::nullopt;
  const print::Positive small = print::reduced(*picture, side);
  const Bytes jpeg = print::encode_jpeg(small, kQuality);
  left -= std::min(left, jpeg.size());
  return as_data(jpeg, small.width, small.height);
}

/// As large and as fine as fits.
std::optional<EncodedImage> opened_image(const std::optional<print::Positive>& picture,
                                         std::size_t most) {
  if (!picture) return std::nullopt;
  print::Positive sized;
  Bytes jpeg;
  for (const int side : kSides) {
    sized = print::reduced(*picture, side);
    for (const int quality : kQualities) {
      jpeg = print::encode_jpeg(sized, quality);
      if (jpeg.size() <= most) return as_data(jpeg, sized.width, sized.height);
    }
  }
  return as_data(jpeg, sized.width, sized.height);
}

FrameImages images_of(const roll::FrameResult& frame, const density::NegativePicture& picture,
                      const print::PrintSetup& setup, std::size_t most) {
  const auto printed = [&](print::ProofStyle style) {
    return print::print<std::uint8_t>(frame, picture, setup, style);
  };
  FrameImages images;
  images.straight = small_image(printed(print::ProofStyle::straight), kStraightSide, most);
  images.scan = small_image(print::as_scanned(frame.measurement.overview), kScanSide, most);
  images.corrected = opened_image(printed(print::ProofStyle::corrected), most);
  return images;
}

/// What stands where a frame of a strip has no print, as film without a picture.
constexpr std::uint8_t kNoPrint = 24;

/// Copies a gray or colour picture into a colour one.
void lay(const print::Positive& small, int left, print::Positive& strip) {
  const int top = (strip.height - small.height) / 2;
  for (int y = 0; y < small.height; ++y) {
    for (int x = 0; x < small.width; ++x) {
      const std::size_t from = (static_cast<std::size_t>(y) * small.width + x) * small.channels;
      const std::size_t to = (static_cast<std::size_t>(top + y) * strip.width + left + x) * 3;
      for (std::size_t c = 0; c < 3; ++c) {
        strip.samples[to + c] = small.samples[from + (small.channels == 3 ? c : 0)];
      }
    }
  }
}

}  // namespace

PictureStrip picture_strip(const roll::Analysis& analysis) {
  constexpr int kSide = 60;
  constexpr int kPitch = kSide + 4;
  if (analysis.frames.empty()) return {};
  const print::PrintSetup setup = print::print_setup(analysis);
  print::Positive strip{kPitch * static_cast<int>(analysis.frames.size()), kSide, 3, {}};
  strip.samples.assign(static_cast<std::size_t>(strip.width) * strip.height * 3, kNoPrint);
  bool any = false;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const auto printed =
        print::print<std::uint8_t>(analysis.frames[i], setup, print::ProofStyle::straight);
    if (!printed) continue;
    any = true;
    lay(print::reduced(*printed, kSide), static_cast<int>(i) * kPitch + 2, strip);
  }
  if (!any) return {};
  return {as_data(print::encode_jpeg(strip, kQuality), strip.width, strip.height).source,
          strip.width, strip.height};
}

std::vector<FrameImages> frame_images(const roll::Analysis& analysis) {
  const print::PrintSetup setup = print::print_setup(analysis);
  const std::size_t frames = std::max(kFramesAtFullSize, analysis.frames.size());
  const std::size_t most = kBytesOfFrame * kFramesAtFullSize / frames;
  std::vector<FrameImages> images(analysis.frames.size());
  roll::for_each_picture(analysis, kOpenedSide,
                         [&](std::size_t i, const density::NegativePicture& picture) {
                           images[i] = images_of(analysis.frames[i], picture, setup, most);
                         });
  return images;
}

}  // namespace basefog::page

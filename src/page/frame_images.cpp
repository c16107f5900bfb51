// SPDX-License-Identifier: GPL-3.0-or-later
#include "page/frame_images.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <exception>
#include <mutex>
#include <thread>

#include "print/jpeg_writer.hpp"
#include "print/proof.hpp"

namespace basefog::page {
namespace {

/// Sizes (long side, pixels) and quality that keep 36 frames of grainy film under 6 MB.
constexpr int kStraightSide = 400;
constexpr int kCorrectedSide = 720;
constexpr int kScanSide = 320;
constexpr int kQuality = 76;
/// Longer rolls get smaller prints, in proportion of their area.
constexpr double kFramesAtFullSize = 36;

int corrected_side(std::size_t frames) {
  const double all = std::max(kFramesAtFullSize, static_cast<double>(frames));
  return static_cast<int>(kCorrectedSide * std::sqrt(kFramesAtFullSize / all));
}

std::optional<EncodedImage> encoded(const std::optional<print::Positive>& picture, int side) {
  if (!picture) return std::nullopt;
  const print::Positive small = print::reduced(*picture, side);
  return EncodedImage{print::jpeg_data_uri(small, kQuality), small.width, small.height};
}

FrameImages images_of(const roll::FrameResult& frame, const print::PrintSetup& setup, int side) {
  FrameImages images;
  images.straight =
      encoded(print::print<std::uint8_t>(frame, setup, print::ProofStyle::straight), kStraightSide);
  images.corrected =
      encoded(print::print<std::uint8_t>(frame, setup, print::ProofStyle::corrected), side);
  images.scan = encoded(print::as_scanned(frame.measurement.overview), kScanSide);
  return images;
}

}  // namespace

std::vector<FrameImages> frame_images(const roll::Analysis& analysis) {
  const print::PrintSetup setup = print::print_setup(analysis);
  const int side = corrected_side(analysis.frames.size());
  std::vector<FrameImages> images(analysis.frames.size());
  std::atomic<std::size_t> next = 0;
  std::exception_ptr failure;
  std::mutex failure_lock;
  const auto work = [&] {
    for (std::size_t i = next++; i < images.size(); i = next++) {
      try {
        images[i] = images_of(analysis.frames[i], setup, side);
      } catch (...) {
        const std::lock_guard<std::mutex> lock(failure_lock);
        failure = std::current_exception();
      }
    }
  };
  const std::size_t cores = std::max(1u, std::thread::hardware_concurrency());
  std::vector<std::thread> threads;
  for (std::size_t k = 1; k < std::min(cores, images.size()); ++k) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  if (failure) std::rethrow_exception(failure);
  return images;
}

}  // namespace basefog::page

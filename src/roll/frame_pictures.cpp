// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/frame_pictures.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <set>
#include <thread>
#include <vector>

#include "basefog/core/error.hpp"
#include "density/negative_picture.hpp"

namespace basefog::roll {
namespace {

/// Frames of one file, which one pass reads.
using FileFrames = std::vector<std::size_t>;

std::vector<FileFrames> by_file(const std::vector<FrameResult>& frames) {
  std::vector<FileFrames> files;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const auto same = std::ranges::find_if(files, [&](const FileFrames& file) {
      return frames[file.front()].measurement.file == frames[i].measurement.file;
    });
    if (same == files.end()) {
      files.push_back({i});
    } else {
      same->push_back(i);
    }
  }
  return files;
}

/// How the file is to be read so that its densities are those of the measurement; nothing where
/// that cannot be known any more.
std::optional<density::MeasureOptions> reading_of(const Analysis& analysis,
                                                  const density::FrameMeasurement& frame) {
  density::MeasureOptions options = analysis.measure;
  if (frame.light_known && !options.read.light) return std::nullopt;
  const response::Response& used = frame.response;
  const bool in_a_formula = used.kind == response::ResponseKind::linear ||
                            used.kind == response::ResponseKind::gamma ||
                            used.kind == response::ResponseKind::srgb;
  if (in_a_formula || used.curves) {
    options.read.response = used;
  } else if (used.kind == response::ResponseKind::calibrated && !options.read.response) {
    return std::nullopt;
  }
  return options;
}

/// The frames of a file in one pass. taken: what was handed over.
void take_from_scan(const Analysis& analysis, const FileFrames& file, int long_side,
                    const TakePicture& take, std::set<std::size_t>& taken) {
  FileFrames wanted;
  std::vector<area::FrameRegion> regions;
  for (const std::size_t i : file) {
    if (!larger_picture(analysis, i, long_side).larger) continue;
    wanted.push_back(i);
    regions.push_back(analysis.frames[i].measurement.region);
  }
  if (wanted.empty()) return;
  const density::FrameMeasurement& any = analysis.frames[wanted.front()].measurement;
  const auto options = reading_of(analysis, any);
  if (!options) return;
  std::exception_ptr of_taker;
  try {
    density::read_pictures(any.file, *options, regions, long_side,
                           [&](std::size_t k, const density::NegativePicture& picture) {
                             const std::size_t i = wanted[k];
                             const int channels = analysis.frames[i].measurement.negative.channels;
                             if (picture.channels != channels || of_taker) return;
                             taken.insert(i);
                             try {
                               take(i, picture);
                             } catch (...) {
                               of_taker = std::current_exception();
                             }
                           });
  } catch (const std::exception&) {
    // The file is gone, or can be read no more: what was kept of it stands in.
  }
  if (of_taker) std::rethrow_exception(of_taker);
}

void take_file(const Analysis& analysis, const FileFrames& file, int long_side,
               const TakePicture& take) {
  std::set<std::size_t> taken;
  take_from_scan(analysis, file, long_side, take, taken);
  for (const std::size_t i : file) {
    if (!taken.contains(i)) take(i, analysis.frames[i].measurement.negative);
  }
}

}  // namespace

LargerPicture larger_picture(const Analysis& analysis, std::size_t frame, int long_side) {
  const density::FrameMeasurement& m = analysis.frames[frame].measurement;
  LargerPicture size{.width = m.negative.width, .height = m.negative.height};
  // A file that was cut short may be turned, and then counts from another corner when it is whole.
  if (m.negative.width == 0 || m.flags.contains(Flag::partial_file)) return size;
  const auto [width, height] = density::size_from_scan(m.region, long_side);
  if (std::max(width, height) <= std::max(m.negative.width, m.negative.height)) return size;
  return {true, width, height};
}

void for_each_picture(const Analysis& analysis, int long_side, const TakePicture& take) {
  const std::vector<FileFrames> files = by_file(analysis.frames);
  std::atomic<std::size_t> next = 0;
  std::exception_ptr failure;
  std::mutex failure_lock;
  const auto work = [&] {
    for (std::size_t i = next++; i < files.size(); i = next++) {
      try {
        take_file(analysis, files[i], long_side, take);
      } catch (...) {
        const std::lock_guard lock(failure_lock);
        failure = std::current_exception();
      }
    }
  };
  const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
  std::vector<std::thread> threads;
  for (std::size_t k = 1; k < std::min(cores, files.size()); ++k) threads.emplace_back(work);
  work();
  for (std::thread& thread : threads) thread.join();
  if (failure) std::rethrow_exception(failure);
}

density::NegativePicture picture_of_frame(const Analysis& analysis, std::size_t frame,
                                          int long_side) {
  density::NegativePicture found;
  take_file(analysis, {frame}, long_side,
            [&](std::size_t, const density::NegativePicture& picture) { found = picture; });
  return found;
}

}  // namespace basefog::roll

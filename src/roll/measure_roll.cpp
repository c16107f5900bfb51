// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/measure_roll.hpp"

#include <algorithm>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <new>
#include <optional>
#include <queue>
#include <string>
#include <thread>
#include <utility>

#include "basefog/error.hpp"

namespace basefog {
namespace fs = std::filesystem;
namespace {

/// What became of one file: its frames, or why there are none.
struct FileOutcome {
  std::vector<FrameMeasurement> frames;
  std::optional<Warning> failure;
};

Warning failure_warning(const fs::path& file, std::string problem, std::string next_step) {
  return {file, Flag::unreadable_file, std::move(problem), std::move(next_step)};
}

FileOutcome measure_file(const fs::path& file, const ReviewOptions& options) {
  FileOutcome outcome;
  try {
    const Scan scan = read_scan(file, options.read);
    outcome.frames = measure_frames(scan, find_film(scan), options.picture_side);
  } catch (const InputError& error) {
    outcome.failure = failure_warning(file, error.problem(), error.next_step());
  } catch (const std::bad_alloc&) {
    outcome.failure = failure_warning(file, "needs more memory than there is",
                                      "scan at a lower resolution, or close other programs");
  } catch (const std::exception& error) {
    outcome.failure = failure_warning(file, std::string("could not be read: ") + error.what(),
                                      "copy it again, or scan the frame again");
  }
  return outcome;
}

/// Measures files on worker threads and reports each from the calling thread as it is done.
class FileQueue {
 public:
  FileQueue(const std::vector<fs::path>& files, const ReviewOptions& options)
      : files_(files), options_(options), outcomes_(files.size()) {}

  std::vector<FileOutcome> run() {
    const unsigned cores = std::max(1U, std::thread::hardware_concurrency());
    const std::size_t wanted = options_.threads > 0 ? options_.threads : cores;
    std::vector<std::jthread> workers;
    for (std::size_t i = 0; i < std::min(wanted, files_.size()); ++i) {
      workers.emplace_back([this](const std::stop_token& stop) { work(stop); });
    }
    // A progress callback that throws must not leave workers behind: jthread stops and joins them.
    for (std::size_t done = 1; done <= files_.size(); ++done) {
      const std::size_t file = wait_for_one();
      if (options_.progress) options_.progress(done, files_.size(), files_[file]);
    }
    return std::move(outcomes_);
  }

 private:
  void work(const std::stop_token& stop) {
    while (!stop.stop_requested()) {
      std::size_t file = 0;
      {
        const std::scoped_lock lock(mutex_);
        if (next_ == files_.size()) return;
        file = next_++;
      }
      outcomes_[file] = measure_file(files_[file], options_);
      const std::scoped_lock lock(mutex_);
      finished_.push(file);
      one_finished_.notify_one();
    }
  }

  std::size_t wait_for_one() {
    std::unique_lock lock(mutex_);
    one_finished_.wait(lock, [this] { return !finished_.empty(); });
    const std::size_t file = finished_.front();
    finished_.pop();
    return file;
  }

  const std::vector<fs::path>& files_;
  const ReviewOptions& options_;
  std::vector<FileOutcome> outcomes_;
  std::mutex mutex_;
  std::condition_variable one_finished_;
  std::size_t next_ = 0;
  std::queue<std::size_t> finished_;
};

FrameResult unreadable_frame(const fs::path& file) {
  FrameResult frame;
  frame.measurement.file = file;
  frame.measurement.label = frame_label(file);
  frame.measurement.state = FrameState::unreadable;
  frame.state = FrameState::unreadable;
  frame.flags = {Flag::unreadable_file};
  return frame;
}

}  // namespace

std::vector<FrameResult> measure_roll(const std::vector<fs::path>& files,
                                      const ReviewOptions& options,
                                      std::vector<Warning>& warnings) {
  std::vector<FileOutcome> outcomes = FileQueue(files, options).run();
  std::vector<FrameResult> frames;
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (outcomes[i].failure) {
      warnings.push_back(*std::move(outcomes[i].failure));
      frames.push_back(unreadable_frame(files[i]));
    }
    for (FrameMeasurement& measurement : outcomes[i].frames) {
      FrameResult frame;
      frame.state = measurement.state;
      frame.flags = measurement.flags;
      frame.measurement = std::move(measurement);
      frames.push_back(std::move(frame));
    }
  }
  return frames;
}

}  // namespace basefog

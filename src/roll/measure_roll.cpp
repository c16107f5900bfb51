// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/measure_roll.hpp"

#include <algorithm>
#include <condition_variable>
#include <functional>
#include <iterator>
#include <mutex>
#include <queue>
#include <string>
#include <string_view>
#include <thread>
#include <unordered_map>
#include <utility>

#include "roll/response_evidence.hpp"

namespace basefog::roll {
namespace fs = std::filesystem;
namespace {

/// Measures files on worker threads and reports each from the calling thread as it is done.
class FileQueue {
 public:
  FileQueue(const std::vector<fs::path>& files, const ReviewOptions& options)
      : files_(files), options_(options), records_(files.size()) {}

  std::vector<density::ScanRecord> run() {
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
    return std::move(records_);
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
      records_[file] = density::measure_scan(files_[file], options_.measure);
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
  std::vector<density::ScanRecord> records_;
  std::mutex mutex_;
  std::condition_variable one_finished_;
  std::size_t next_ = 0;
  std::queue<std::size_t> finished_;
};

density::FrameMeasurement unreadable_frame(const fs::path& file) {
  density::FrameMeasurement frame;
  frame.file = file;
  frame.label = scan::frame_label(file);
  frame.state = density::FrameState::unreadable;
  frame.flags = {Flag::unreadable_file};
  return frame;
}

std::size_t hash_of(const density::FrameMeasurement& frame) {
  const std::vector<float>& density = frame.apertures.density;
  return std::hash<std::string_view>{}(
      {reinterpret_cast<const char*>(density.data()), density.size() * sizeof(float)});
}

/// Two scans of one frame differ by noise, if by nothing else; what agrees to the last value in all
/// its apertures is one scan under two names.
bool are_copies(const density::FrameMeasurement& a, const density::FrameMeasurement& b) {
  return a.index == b.index && a.apertures.columns == b.apertures.columns &&
         a.apertures.density == b.apertures.density && a.apertures.sigma == b.apertures.sigma;
}

/// Takes copies of scans out, so that each counts once, and says so.
void leave_out_copies(MeasuredScans& scans) {
  std::unordered_multimap<std::size_t, std::size_t> seen;  // hash, place among those kept
  std::vector<density::FrameMeasurement> kept;
  for (density::FrameMeasurement& frame : scans.frames) {
    const density::FrameMeasurement* first = nullptr;
    const std::size_t hash = hash_of(frame);
    const auto [from, to] = seen.equal_range(hash);
    for (auto one = from; one != to && first == nullptr; ++one) {
      if (are_copies(kept[one->second], frame)) first = &kept[one->second];
    }
    if (first == nullptr || frame.apertures.density.empty()) {
      seen.emplace(hash, kept.size());
      kept.push_back(std::move(frame));
      continue;
    }
    if (frame.index > 0) continue;  // said once for a scan
    scans.failures.push_back(
        {frame.file, Flag::copy_of_scan,
         density::ScanFailure{frame.file, Flag::copy_of_scan,
                              "shows what " + first->file.filename().string() +
                                  " does, to the last value, so it counts once",
                              "Nothing needs to be done, unless the wrong file was copied."}});
  }
  scans.frames = std::move(kept);
}

}  // namespace

MeasuredScans measure_scans(const std::vector<fs::path>& files, const ReviewOptions& options) {
  MeasuredScans scans = measured_before(FileQueue(files, options).run());
  if (!scans.tone_curve || *scans.tone_curve < 0.5) return scans;
  ReviewOptions as_found = options;
  as_found.measure.read.response = tone_curve_found();
  MeasuredScans again = measured_before(FileQueue(files, as_found).run());
  again.tone_curve = scans.tone_curve;
  return again;
}

MeasuredScans measured_before(std::vector<density::ScanRecord> records) {
  MeasuredScans scans;
  for (density::ScanRecord& record : records) {
    scans.files.push_back({"scan", record.file, record.sum});
    if (record.failure) {
      scans.failures.push_back({record.failure->file, record.failure->flag, *record.failure});
      scans.frames.push_back(unreadable_frame(record.file));
    }
    std::ranges::move(record.frames, std::back_inserter(scans.frames));
  }
  leave_out_copies(scans);
  scans.tone_curve = chance_of_tone_curve(scans.frames);
  return scans;
}

}  // namespace basefog::roll

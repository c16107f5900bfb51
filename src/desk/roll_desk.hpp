// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "basefog/desk/desk.hpp"
#include "basefog/roll/analysis.hpp"
#include "desk/history.hpp"
#include "desk/scan_watch.hpp"
#include "print/proof.hpp"

namespace basefog::desk {

/// One scan as it comes in.
struct DeskScan {
  int id = 0;  ///< as long as the desk runs
  std::filesystem::path file;
  std::uint64_t settled = 0;  ///< 0 while it is being written
  std::uint64_t read = 0;     ///< which of its states was read; 0 for none
  bool reading = false;
  std::shared_ptr<const density::ScanRecord> record;
};

/// A roll as it was reviewed.
struct Reviewed {
  int number = 0;  ///< one more with each review
  int state = 0;   ///< of the sheet
  roll::Analysis analysis;
  print::PrintSetup setup;
  std::map<int, int> row_on;  ///< the sheet's rows by lines of the log
  std::string page;           ///< what the page shows of it, as JSON
};

/// How far reading has come, of the scans that came together.
struct ReadingProgress {
  std::size_t done = 0;
  std::size_t all = 0;
  std::chrono::steady_clock::time_point began{};
};

/// All that a window shows, at one moment.
struct DeskView {
  std::uint64_t version = 0;
  State state;
  std::vector<DeskScan> scans;
  ReadingProgress reading;
  std::shared_ptr<const Reviewed> reviewed;  ///< null before the first review
  std::string failure;                       ///< why the last review was none; empty where it was
  bool up_to_date = false;                   ///< `reviewed` is of this state and these scans
};

/// A roll that is worked on: its folder is watched, scans are read once, and each change of sheet
/// or scans is reviewed anew, by the same chain as `basefog review` with the files that stand in
/// the desk's folder. May be called from any thread.
class RollDesk {
 public:
  /// Throws InputError where the desk's folder cannot be written, or another desk works in it.
  explicit RollDesk(RollPlace place);
  RollDesk(const RollDesk&) = delete;
  RollDesk& operator=(const RollDesk&) = delete;
  ~RollDesk();

  const RollPlace& place() const { return place_; }
  /// As soon as there is a newer one than `seen`, or after `most`.
  DeskView view(std::uint64_t seen, std::chrono::milliseconds most);

  /// Makes the sheet another where it still is that of `base`; on disk when it returns. False where
  /// it is not, and nothing changes. Throws InputError (not_writable).
  bool change(int base, const std::function<std::optional<Sheet>(const Sheet&)>& to,
              const std::string& step);
  bool undo(int base);
  bool redo(int base);

  /// Ends what waits and what reads.
  void stop();

 private:
  class Lock;
  void watch(const std::stop_token& stop);
  void read(const std::stop_token& stop);
  void review(const std::stop_token& stop);
  bool take(const ScanWatch::Look& look);
  DeskScan* next_to_read();
  bool is_old() const;
  void came(std::unique_lock<std::mutex>& lock);

  RollPlace place_;
  std::unique_ptr<Lock> lock_;
  History history_;
  std::mutex mutex_;
  std::condition_variable_any changed_;
  std::uint64_t version_ = 1;
  std::vector<DeskScan> scans_;
  std::string response_;  ///< as which `scans_` were read
  int next_id_ = 1;
  ReadingProgress reading_;
  std::uint64_t scans_version_ = 0;   ///< of the records
  std::uint64_t reviewed_scans_ = 0;  ///< the version that was reviewed
  int reviewed_state_ = 0;
  std::shared_ptr<const Reviewed> reviewed_;
  std::string failure_;
  std::stop_source over_;
  std::vector<std::jthread> threads_;
};

}  // namespace basefog::desk

// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/roll_desk.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <set>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "core/text_file.hpp"
#include "core/whole_file.hpp"
#include "desk/desk_files.hpp"

namespace basefog::desk {
namespace fs = std::filesystem;
using namespace std::chrono_literals;
namespace {

Sheet first_sheet(const RollPlace& place) {
  Sheet sheet = empty_sheet();
  if (place.log) {
    const auto written = sheet_of(read_text_file(*place.log, {"a log", limits::kMostLogBytes}));
    if (written) sheet = *written;
  }
  sheet.settings = place.settings;
  return sheet;
}

}  // namespace

/// Held as long as the desk runs; the system lets go of it however that ends.
class RollDesk::Lock {
 public:
  explicit Lock(const fs::path& folder) {
    std::error_code ignored;
    fs::create_directories(folder, ignored);
    const fs::path file = folder / ".in-use";
    fd_ = ::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (fd_ < 0) {
      throw InputError(ErrorCode::not_writable, folder, "cannot be written to",
                       "name another folder with --out");
    }
    if (::flock(fd_, LOCK_EX | LOCK_NB) != 0) {
      ::close(fd_);
      throw InputError(ErrorCode::not_writable, folder, "is worked in by another desk",
                       "use that one, or name another folder with --out");
    }
  }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;
  ~Lock() { ::close(fd_); }

 private:
  int fd_;
};

RollDesk::RollDesk(RollPlace place)
    : place_(std::move(place)),
      lock_(std::make_unique<Lock>(place_.folder)),
      history_(place_.folder / "history", first_sheet(place_)) {
  write_settings(place_.folder, history_.now().sheet);
  const auto work = [this](auto step) {
    threads_.emplace_back([this, step] { (this->*step)(over_.get_token()); });
  };
  const unsigned readers = std::max(1U, std::thread::hardware_concurrency());
  for (unsigned i = 0; i < readers; ++i) work(&RollDesk::read);
  work(&RollDesk::review);
  work(&RollDesk::watch);
}

RollDesk::~RollDesk() { stop(); }

void RollDesk::stop() {
  over_.request_stop();
  changed_.notify_all();
}

/// Says that there is something new to see.
void RollDesk::came(std::unique_lock<std::mutex>&) {
  ++version_;
  changed_.notify_all();
}

DeskView RollDesk::view(std::uint64_t seen, std::chrono::milliseconds most) {
  std::unique_lock lock(mutex_);
  changed_.wait_for(lock, over_.get_token(), most, [&] { return version_ != seen; });
  return {.version = version_,
          .state = history_.now(),
          .scans = scans_,
          .reading = reading_,
          .reviewed = reviewed_,
          .failure = failure_,
          .up_to_date = !is_old() && reading_.done == reading_.all};
}

bool RollDesk::change(int base, const std::function<std::optional<Sheet>(const Sheet&)>& to,
                      const std::string& step) {
  std::unique_lock lock(mutex_);
  if (base != history_.now().number) return false;
  auto sheet = to(history_.now().sheet);
  if (!sheet) return false;
  if (*sheet == history_.now().sheet) return true;
  history_.change(*std::move(sheet), step);
  came(lock);
  return true;
}

bool RollDesk::undo(int base) {
  std::unique_lock lock(mutex_);
  const bool done = base == history_.now().number && history_.undo();
  if (done) came(lock);
  return done;
}

bool RollDesk::redo(int base) {
  std::unique_lock lock(mutex_);
  const bool done = base == history_.now().number && history_.redo();
  if (done) came(lock);
  return done;
}

// Watching and reading.

void RollDesk::watch(const std::stop_token& stop) {
  constexpr auto kBetweenLooks = 200ms;
  ScanWatch folder(place_.scans);
  while (!stop.stop_requested()) {
    const ScanWatch::Look look = folder.look(ScanWatch::Clock::now());
    std::unique_lock lock(mutex_);
    if (take(look)) came(lock);
    changed_.wait_for(lock, stop, kBetweenLooks, [&] { return stop.stop_requested(); });
  }
}

/// Takes over what lies in the folder; true where anything is new.
bool RollDesk::take(const ScanWatch::Look& look) {
  bool news = false;
  std::vector<DeskScan> scans;
  for (const fs::path& file : look.all) {
    const auto known = std::ranges::find(scans_, file, &DeskScan::file);
    scans.push_back(known != scans_.end() ? *known : DeskScan{.id = next_id_++, .file = file});
    const auto settled = std::ranges::find(look.settled, file, &ScanWatch::Settled::file);
    const std::uint64_t print = settled == look.settled.end() ? 0 : settled->print;
    news |= known == scans_.end() || scans.back().settled != print;
    scans.back().settled = print;
  }
  const bool gone = std::ranges::any_of(
      scans_, [&](const DeskScan& scan) { return std::ranges::count(look.all, scan.file) == 0; });
  if (gone) ++scans_version_;
  scans_ = std::move(scans);
  // How scans are read may have been answered anew.
  const auto& settings = history_.now().sheet.settings;
  const auto response = settings.find("response");
  const std::string wanted = response == settings.end() ? "" : response->second;
  if (wanted != response_) {
    response_ = wanted;
    write_settings(place_.folder, history_.now().sheet);
    for (DeskScan& scan : scans_) scan.read = 0;
    news = true;
  }
  const auto waiting = static_cast<std::size_t>(std::ranges::count_if(scans_, [](const auto& scan) {
    return scan.reading || (scan.settled != 0 && scan.settled != scan.read);
  }));
  if (waiting == 0) {
    reading_ = {};
  } else {
    if (reading_.all == 0) reading_.began = std::chrono::steady_clock::now();
    reading_.all = std::max(reading_.all, reading_.done + waiting);
  }
  if (news) changed_.notify_all();
  return news || gone;
}

DeskScan* RollDesk::next_to_read() {
  const auto next = std::ranges::find_if(scans_, [](const DeskScan& scan) {
    return !scan.reading && scan.settled != 0 && scan.settled != scan.read;
  });
  return next == scans_.end() ? nullptr : &*next;
}

void RollDesk::read(const std::stop_token& stop) {
  std::unique_lock lock(mutex_);
  while (changed_.wait(lock, stop, [this] { return next_to_read() != nullptr; })) {
    DeskScan* scan = next_to_read();
    scan->reading = true;
    const int id = scan->id;
    const fs::path file = scan->file;
    const std::uint64_t print = scan->settled;
    const std::string response = response_;
    came(lock);
    lock.unlock();
    std::shared_ptr<const density::ScanRecord> record;
    std::string failure;
    try {
      record = std::make_shared<density::ScanRecord>(
          density::measure_scan(file, place_.options(place_.folder / kLogFile).measure));
    } catch (const std::exception& error) {  // of the settings, not of the scan
      failure = error.what();
    }
    lock.lock();
    const auto read = std::ranges::find(scans_, id, &DeskScan::id);
    if (read != scans_.end()) {
      read->reading = false;
      if (response == response_) {
        read->read = print;
        read->record = record;
        if (!failure.empty()) failure_ = failure;
        ++scans_version_;
      }
    }
    ++reading_.done;
    came(lock);
  }
}

// Reviewing.

bool RollDesk::is_old() const {
  return reviewed_scans_ != scans_version_ || reviewed_state_ != history_.now().number;
}

void RollDesk::review(const std::stop_token& stop) {
  std::unique_lock lock(mutex_);
  const auto has_record = [](const DeskScan& scan) { return scan.record != nullptr; };
  while (changed_.wait(lock, stop,
                       [&] { return is_old() && std::ranges::any_of(scans_, has_record); })) {
    const State state = history_.now();
    const std::uint64_t of_scans = scans_version_;
    const int number = reviewed_ ? reviewed_->number + 1 : 1;
    std::vector<density::ScanRecord> records;
    std::map<fs::path, int> ids;
    for (const DeskScan& scan : scans_) {
      if (!scan.record) continue;
      records.push_back(*scan.record);
      ids[scan.file] = scan.id;
    }
    lock.unlock();
    std::shared_ptr<Reviewed> done;
    std::string failure;
    try {
      done = review_state(place_, state, std::move(records), ids);
      done->number = number;
    } catch (const std::exception& error) {
      failure = error.what();
    }
    lock.lock();
    reviewed_scans_ = of_scans;
    reviewed_state_ = state.number;
    failure_ = failure;
    if (done) reviewed_ = std::move(done);
    came(lock);
  }
}

}  // namespace basefog::desk

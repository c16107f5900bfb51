// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

/// Work on files of strangers in processes of its own, which can do nothing but read those files
/// and answer.
namespace basefog::apart {

/// What one process may take before it is ended.
struct Limits {
  std::uint64_t memory_bytes = 0;  ///< of address space; memory that cannot be had throws bad_alloc
  unsigned seconds = 0;            ///< of processor; ten times as many of the clock
};

/// One piece of work, for a process that is started for it and ends with it.
struct Task {
  std::string request;                       ///< as the program's Work understands it
  std::vector<std::filesystem::path> files;  ///< that it may open, to read
  Limits limits;                             ///< of the process
};

/// A process that ended otherwise than by its own will; what() is a clause without a subject, as
/// "crashed (signal 11)".
struct Broken : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// What a process was kept to, for who asks.
struct Confinement {
  bool processes = false;  ///< there are such processes
  bool calls = false;      ///< seccomp: no network, no other program, no file for writing
  bool files = false;      ///< Landlock: no file but the task's
};

/// Takes one answer; a task may have many.
using Answer = std::function<void(std::string_view)>;
/// What a process does with a request. It runs confined, and must not throw.
using Work = std::function<void(std::string_view request, const Answer& answer)>;

/// A small server, forked while the program has one thread, that forks a process for each task: a
/// process with threads may not fork. A library must not choose this, so a program does.
class Processes {
 public:
  /// Starts the server; nothing where the program has threads already, or the system allows no
  /// process more. Then the program does the work itself.
  static std::shared_ptr<const Processes> start(const Work& work);
  Processes(const Processes&) = delete;
  Processes& operator=(const Processes&) = delete;
  /// Ends the server and with it what it runs.
  ~Processes();

  /// Does a task; answers are handed over as they come, from this thread. Several threads may call
  /// it. Throws Broken where the process did not end by its own will; then answers may be missing.
  void run(const Task& task, const Answer& take) const;

  /// What the system allows, as a process that was started for it found.
  Confinement confinement() const;

 private:
  Processes(int control, pid_t server) : control_(control), server_(server) {}

  int control_;
  pid_t server_;
};

}  // namespace basefog::apart

// SPDX-License-Identifier: GPL-3.0-or-later
#include "apart/confinement.hpp"

#include <fcntl.h>
#include <linux/landlock.h>
#include <sched.h>
#include <seccomp.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <memory>

namespace basefog::apart {
namespace {

/// Of the clock, for one of the processor: a disk or a network may be slow (judgement).
constexpr unsigned kClockPerProcessor = 10;

void set_limit(decltype(RLIMIT_AS) what, rlim_t soft, rlim_t hard) {
  const rlimit limit{soft, hard};
  ::setrlimit(what, &limit);
}

void limit_use(const Limits& limits) {
#ifndef __SANITIZE_ADDRESS__  // whose shadow is of terabytes
  set_limit(RLIMIT_AS, limits.memory_bytes, limits.memory_bytes);
#endif
  set_limit(RLIMIT_CPU, limits.seconds, limits.seconds + 1);
  set_limit(RLIMIT_CORE, 0, 0);
  set_limit(RLIMIT_FSIZE, 0, 0);
  ::alarm(limits.seconds * kClockPerProcessor);
  // Where memory runs out for all, this process is the one to go.
  const int score = ::open("/proc/self/oom_score_adj", O_WRONLY | O_CLOEXEC);
  if (score >= 0) {
    static_cast<void>(!::write(score, "500", 3));
    ::close(score);
  }
}

/// Landlock [Landlock]: of the file system nothing may be opened but these files, to read.
bool limit_files(std::span<const std::filesystem::path> files) {
  landlock_ruleset_attr all{};
  all.handled_access_fs = (LANDLOCK_ACCESS_FS_MAKE_SYM << 1) - 1;  // its first edition's
  const auto rules = static_cast<int>(::syscall(SYS_landlock_create_ruleset, &all, sizeof all, 0));
  if (rules < 0) return false;
  for (const std::filesystem::path& file : files) {
    landlock_path_beneath_attr one{};
    one.allowed_access = LANDLOCK_ACCESS_FS_READ_FILE;
    one.parent_fd = ::open(file.c_str(), O_PATH | O_CLOEXEC);
    if (one.parent_fd < 0) continue;  // said by who cannot open it
    ::syscall(SYS_landlock_add_rule, rules, LANDLOCK_RULE_PATH_BENEATH, &one, 0);
    ::close(one.parent_fd);
  }
  const bool done = ::syscall(SYS_landlock_restrict_self, rules, 0) == 0;
  ::close(rules);
  return done;
}

/// What decoders call of the system. Not among it: whatever sets a signal's way, so that the alarm
/// stays; what starts a program or another process; sockets; the ways into other processes.
constexpr std::array kCalls = {
    SCMP_SYS(read),
    SCMP_SYS(pread64),
    SCMP_SYS(readv),
    SCMP_SYS(write),
    SCMP_SYS(writev),
    SCMP_SYS(lseek),
    SCMP_SYS(_llseek),
    SCMP_SYS(close),
    SCMP_SYS(fcntl),
    SCMP_SYS(fcntl64),
    SCMP_SYS(fadvise64),
    SCMP_SYS(stat),
    SCMP_SYS(stat64),
    SCMP_SYS(lstat),
    SCMP_SYS(lstat64),
    SCMP_SYS(fstat),
    SCMP_SYS(fstat64),
    SCMP_SYS(newfstatat),
    SCMP_SYS(fstatat64),
    SCMP_SYS(statx),
    SCMP_SYS(access),
    SCMP_SYS(faccessat),
    SCMP_SYS(faccessat2),
    SCMP_SYS(getcwd),
    SCMP_SYS(munmap),
    SCMP_SYS(mremap),
    SCMP_SYS(madvise),
    SCMP_SYS(brk),
    SCMP_SYS(futex),
    SCMP_SYS(sched_yield),
    SCMP_SYS(sched_getaffinity),
    SCMP_SYS(sysinfo),
    SCMP_SYS(uname),
    SCMP_SYS(getpid),
    SCMP_SYS(gettid),
    SCMP_SYS(getrandom),
    SCMP_SYS(clock_gettime),
    SCMP_SYS(gettimeofday),
    SCMP_SYS(time),
    SCMP_SYS(set_robust_list),
    SCMP_SYS(rseq),
    SCMP_SYS(rt_sigreturn),
    SCMP_SYS(sigaltstack),
    SCMP_SYS(exit),
    SCMP_SYS(exit_group),
};

/// seccomp: every other call fails as not permitted, and these with what would write or run code.
bool limit_calls() {
  const std::unique_ptr<void, void (*)(scmp_filter_ctx)> filter(
      seccomp_init(SCMP_ACT_ERRNO(EPERM)), [](scmp_filter_ctx one) { seccomp_release(one); });
  if (!filter) return false;
  int failed = 0;
  const auto allow = [&](int call, auto... when) {
    failed |= seccomp_rule_add(filter.get(), SCMP_ACT_ALLOW, call, sizeof...(when), when...);
  };
  for (const int call : kCalls) allow(call);
  constexpr auto kChanges = static_cast<scmp_datum_t>(O_ACCMODE | O_CREAT | O_TRUNC | O_TMPFILE) &
                            ~static_cast<scmp_datum_t>(O_DIRECTORY);
  allow(SCMP_SYS(open), SCMP_A1(SCMP_CMP_MASKED_EQ, kChanges, 0));
  allow(SCMP_SYS(openat), SCMP_A2(SCMP_CMP_MASKED_EQ, kChanges, 0));
  for (const int call : {SCMP_SYS(mmap), SCMP_SYS(mmap2), SCMP_SYS(mprotect)}) {
    allow(call, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
  }
  // Threads, not processes; of clone3, whose flags cannot be seen, the C library thinks that there
  // is none and takes clone.
  allow(SCMP_SYS(clone), SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
  failed |= seccomp_rule_add(filter.get(), SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0);
  return failed == 0 && seccomp_load(filter.get()) == 0;
}

}  // namespace

Confinement confine(std::span<const std::filesystem::path> files, const Limits& limits) {
  limit_use(limits);
  ::prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  Confinement confinement{.processes = true};
  confinement.files = limit_files(files);
  confinement.calls = limit_calls();
  return confinement;
}

}  // namespace basefog::apart

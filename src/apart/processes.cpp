// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/apart/processes.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <climits>
#include <csignal>
#include <cstring>
#include <ctime>
#include <map>
#include <optional>
#include <utility>

#include "apart/confinement.hpp"

namespace basefog::apart {
namespace fs = std::filesystem;
namespace {

/// Bytes of one answer; a picture of a frame is the largest.
constexpr std::uint64_t kMostAnswerBytes = std::uint64_t{1} << 30;
/// A request of no bytes asks what the process was kept to.
constexpr std::string_view kAsksConfinement;

class Descriptor {
 public:
  explicit Descriptor(int number = -1) : number_(number) {}
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  int number() const { return number_; }
  int release() { return std::exchange(number_, -1); }

 private:
  int number_;
};

/// Two ends of a way for bytes, or for messages.
std::optional<std::pair<Descriptor, Descriptor>> way(int type) {
  std::array<int, 2> ends{};
  if (::socketpair(AF_UNIX, type | SOCK_CLOEXEC, 0, ends.data()) != 0) return std::nullopt;
  return std::pair(Descriptor(ends[0]), Descriptor(ends[1]));
}

/// Sent without a signal where nobody listens any more; a confined process may only write.
ssize_t send_some(int to, const char* bytes, std::size_t size) {
  return ::send(to, bytes, size, MSG_NOSIGNAL);
}

bool send_all(int to, std::string_view bytes, auto send) {
  while (!bytes.empty()) {
    const ssize_t some = send(to, bytes.data(), bytes.size());
    if (some < 0 && errno == EINTR) continue;
    if (some <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(some));
  }
  return true;
}

bool receive_all(int from, char* to, std::size_t size) {
  while (size > 0) {
    const ssize_t some = ::read(from, to, size);
    if (some < 0 && errno == EINTR) continue;
    if (some <= 0) return false;
    to += some;
    size -= static_cast<std::size_t>(some);
  }
  return true;
}

template <class Number>
std::optional<Number> receive_number(int from) {
  Number number{};
  if (!receive_all(from, reinterpret_cast<char*>(&number), sizeof number)) return std::nullopt;
  return number;
}

/// A text with its length before it.
std::string framed(std::string_view text) {
  const std::uint64_t size = text.size();
  return std::string(reinterpret_cast<const char*>(&size), sizeof size).append(text);
}

std::optional<std::string> receive_framed(int from) {
  const auto size = receive_number<std::uint64_t>(from);
  if (!size || *size > kMostAnswerBytes) return std::nullopt;
  std::string text(*size, '\0');
  if (!receive_all(from, text.data(), text.size())) return std::nullopt;
  return text;
}

/// Where a task's request and answers go, and where its ending is said.
struct TaskEnds {
  int talk = -1;
  int ending = -1;
};

union PassedEnds {
  cmsghdr header;
  std::array<char, CMSG_SPACE(sizeof(TaskEnds))> bytes;
};

/// Hands over both, or takes them; false where the other side is gone.
bool pass(int control, TaskEnds& ends, ssize_t (*move)(int, msghdr*)) {
  char one = 0;
  iovec part{&one, 1};
  PassedEnds passed{};
  msghdr message{};
  message.msg_iov = &part;
  message.msg_iovlen = 1;
  message.msg_control = passed.bytes.data();
  message.msg_controllen = passed.bytes.size();
  passed.header.cmsg_level = SOL_SOCKET;
  passed.header.cmsg_type = SCM_RIGHTS;
  passed.header.cmsg_len = CMSG_LEN(sizeof ends);
  std::memcpy(CMSG_DATA(&passed.header), &ends, sizeof ends);
  if (move(control, &message) != 1 || message.msg_controllen < CMSG_LEN(sizeof ends)) return false;
  std::memcpy(&ends, CMSG_DATA(&passed.header), sizeof ends);
  return true;
}

bool hand_over(int control, TaskEnds ends) {
  return pass(control, ends,
              [](int to, msghdr* message) { return ::sendmsg(to, message, MSG_NOSIGNAL); });
}

bool take_over(int control, TaskEnds& ends) {
  return pass(control, ends,
              [](int from, msghdr* message) { return ::recvmsg(from, message, MSG_CMSG_CLOEXEC); });
}

/// In the process of one task.
[[noreturn]] void do_task(int talk_there, const Work& work) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  constexpr int kTalk = 3;
  ::dup2(talk_there, kTalk);
  ::close_range(kTalk + 1, UINT_MAX, 0);  // other tasks' among them
  const auto limits = receive_number<Limits>(kTalk);
  auto left = receive_number<std::uint64_t>(kTalk);
  std::vector<fs::path> files;
  for (; left.value_or(0) > 0; --*left) files.emplace_back(receive_framed(kTalk).value_or(""));
  const auto request = receive_framed(kTalk);
  if (!limits || !request) ::_exit(EXIT_FAILURE);
  const Confinement confinement = confine(files, *limits);
  const auto answer = [](std::string_view text) {
    if (!send_all(kTalk, framed(text), ::write)) ::_exit(EXIT_FAILURE);
  };
  if (*request == kAsksConfinement) {
    answer({reinterpret_cast<const char*>(&confinement), sizeof confinement});
  } else {
    work(*request, answer);
  }
  ::_exit(EXIT_SUCCESS);
}

/// In the server: starts a process for each task and says how each ended, until the program ends.
class Server {
 public:
  Server(int control, const Work& work) : control_(control), work_(work) {
    ::tzset();        // from files that tasks cannot open
    ::setpgid(0, 0);  // what the terminal says is the program's
    const int nothing = ::open("/dev/null", O_RDWR | O_CLOEXEC);
    for (const int standard : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
      ::dup2(nothing, standard);
    }
    sigset_t ended{};
    sigemptyset(&ended);
    sigaddset(&ended, SIGCHLD);
    ::sigprocmask(SIG_SETMASK, &ended, nullptr);
    ended_ = ::signalfd(-1, &ended, SFD_CLOEXEC | SFD_NONBLOCK);
  }

  void run() {
    std::array<pollfd, 2> waiting = {{{control_, POLLIN, 0}, {ended_, POLLIN, 0}}};
    while (true) {
      if (::poll(waiting.data(), waiting.size(), -1) < 0 && errno != EINTR) return;
      if (waiting[1].revents != 0) say_endings();
      if (waiting[0].revents != 0 && !start_task()) return;
    }
  }

 private:
  bool start_task() {
    TaskEnds ends;
    if (!take_over(control_, ends)) return false;
    const Descriptor talk(ends.talk);
    Descriptor ending(ends.ending);
    const pid_t task = ::fork();
    if (task == 0) do_task(ends.talk, work_);
    if (task > 0) running_.emplace(task, std::move(ending));
    return true;  // without a process the task hears that nobody speaks
  }

  void say_endings() {
    signalfd_siginfo news{};
    static_cast<void>(!::read(ended_, &news, sizeof news));
    int status = 0;
    for (pid_t task = ::waitpid(-1, &status, WNOHANG); task > 0;
         task = ::waitpid(-1, &status, WNOHANG)) {
      send_all(running_[task].number(), {reinterpret_cast<const char*>(&status), sizeof status},
               send_some);
      running_.erase(task);
    }
  }

  int control_;
  const Work& work_;
  int ended_ = -1;
  std::map<pid_t, Descriptor> running_;
};

bool has_threads() {
  std::error_code error;
  const fs::directory_iterator threads("/proc/self/task", error);
  return error || std::distance(begin(threads), end(threads)) != 1;
}

/// Empty for a process that ended by its own will.
std::string fault_of(std::optional<int> status) {
  if (!status) return "could not be started";
  if (WIFEXITED(*status)) return WEXITSTATUS(*status) == 0 ? "" : "gave up";
  switch (const int signal = WTERMSIG(*status)) {
    case SIGXCPU:
    case SIGALRM:
      return "did not come to an end";
    case SIGKILL:
      return "was killed, as where memory runs out";
    default:
      return "crashed (signal " + std::to_string(signal) + ")";
  }
}

std::string message_of(const Task& task) {
  std::string message(reinterpret_cast<const char*>(&task.limits), sizeof task.limits);
  const std::uint64_t files = task.files.size();
  message.append(reinterpret_cast<const char*>(&files), sizeof files);
  for (const fs::path& file : task.files) message += framed(file.native());
  return message + framed(task.request);
}

}  // namespace

std::shared_ptr<const Processes> Processes::start(const Work& work) {
  if (has_threads()) return nullptr;
  auto control = way(SOCK_SEQPACKET);
  if (!control) return nullptr;
  const pid_t server = ::fork();
  if (server < 0) return nullptr;
  if (server == 0) {
    control->first = Descriptor();  // the program's end, or its own would never be the last
    Server(control->second.number(), work).run();
    ::_exit(EXIT_SUCCESS);
  }
  return std::shared_ptr<const Processes>(new Processes(control->first.release(), server));
}

Processes::~Processes() {
  ::close(control_);
  ::waitpid(server_, nullptr, 0);
}

void Processes::run(const Task& task, const Answer& take) const {
  auto talk = way(SOCK_STREAM);
  auto ending = way(SOCK_STREAM);
  if (!talk || !ending) throw Broken(fault_of(std::nullopt));
  const bool started = hand_over(control_, {talk->second.number(), ending->second.number()});
  talk->second = Descriptor();
  ending->second = Descriptor();
  if (started && send_all(talk->first.number(), message_of(task), send_some)) {
    while (const auto text = receive_framed(talk->first.number())) take(*text);
  }
  // One that has more to say than may be said waits for ever.
  ::shutdown(talk->first.number(), SHUT_RDWR);
  if (const std::string fault = fault_of(receive_number<int>(ending->first.number()));
      !fault.empty()) {
    throw Broken(fault);
  }
}

Confinement Processes::confinement() const {
  Confinement found;
  constexpr Limits kPlenty{.memory_bytes = std::uint64_t{1} << 32, .seconds = 1};
  try {
    run({.request = std::string(kAsksConfinement), .files = {}, .limits = kPlenty},
        [&found](std::string_view answer) {
          if (answer.size() == sizeof found) std::memcpy(&found, answer.data(), sizeof found);
        });
  } catch (const Broken&) {
    return {};
  }
  return found;
}

}  // namespace basefog::apart

// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/bounded_stream.hpp"

#include <poll.h>
#include <sys/socket.h>

#include <algorithm>
#include <cerrno>
#include <string_view>

namespace basefog::desk {

BoundedStream::BoundedStream(socket_t socket, const CallLimits& limits)
    : socket_(socket), limits_(limits) {}

bool BoundedStream::wait_for(short what, Clock::time_point until) const {
  while (true) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now()).count();
    pollfd waiting{socket_, what, 0};
    // What has come in time counts, though this thread had to wait for its turn.
    const int ready = ::poll(&waiting, 1, static_cast<int>(std::max<long long>(0, left)));
    if (ready < 0 && errno == EINTR) continue;
    return ready > 0;
  }
}

bool BoundedStream::is_readable() const {
  return from_ < to_ || wait_for(POLLIN, began_ + limits_.call_time);
}

bool BoundedStream::is_writable() const {
  return wait_for(POLLOUT, Clock::now() + limits_.answer_time);
}

bool BoundedStream::account(std::size_t got) {
  constexpr std::string_view kEnd = "\r\n\r\n";
  for (std::size_t i = 0; i < got; ++i) {
    ++total_;
    if (body_from_ > 0) continue;
    const char c = buffer_[i];
    line_ends_ = c == kEnd[static_cast<std::size_t>(line_ends_)] ? line_ends_ + 1 : (c == '\r');
    if (line_ends_ == 4) body_from_ = total_;
  }
  return body_from_ > 0 ? total_ - body_from_ <= limits_.body_bytes : total_ <= limits_.head_bytes;
}

bool BoundedStream::fill() {
  const auto until = began_ + (body_from_ > 0 ? limits_.call_time : limits_.head_time);
  while (wait_for(POLLIN, until)) {
    const ssize_t got = ::recv(socket_, buffer_.data(), buffer_.size(), 0);
    if (got < 0 && (errno == EINTR || errno == EAGAIN)) continue;
    if (got <= 0 || !account(static_cast<std::size_t>(got))) return false;
    from_ = 0;
    to_ = static_cast<std::size_t>(got);
    return true;
  }
  return false;
}

ssize_t BoundedStream::read(char* to, size_t size) {
  if (from_ == to_ && !fill()) return -1;
  const std::size_t some = std::min(size, to_ - from_);
  std::copy_n(buffer_.begin() + static_cast<std::ptrdiff_t>(from_), some, to);
  from_ += some;
  return static_cast<ssize_t>(some);
}

ssize_t BoundedStream::write(const char* from, size_t size) {
  if (answer_by_ == Clock::time_point{}) answer_by_ = Clock::now() + limits_.answer_time;
  while (wait_for(POLLOUT, answer_by_)) {
    const ssize_t sent = ::send(socket_, from, size, MSG_NOSIGNAL | MSG_DONTWAIT);
    if (sent < 0 && (errno == EINTR || errno == EAGAIN)) continue;
    return sent;
  }
  return -1;
}

// Nobody asks: the desk answers to its key, not to an address.
void BoundedStream::get_remote_ip_and_port(std::string& ip, int& port) const {
  ip = "127.0.0.1";
  port = 0;
}
void BoundedStream::get_local_ip_and_port(std::string& ip, int& port) const {
  ip = "127.0.0.1";
  port = 0;
}

}  // namespace basefog::desk

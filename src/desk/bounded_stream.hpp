// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <httplib.h>

#include <array>
#include <chrono>
#include <cstddef>

namespace basefog::desk {

/// How long a caller may take and how much it may send, whatever it sends and how slowly.
struct CallLimits {
  std::size_t head_bytes = std::size_t{16} << 10;
  std::size_t body_bytes = std::size_t{1} << 20;
  std::chrono::milliseconds head_time{3000};
  std::chrono::milliseconds call_time{10000};    ///< head and body
  std::chrono::milliseconds answer_time{20000};  ///< from its first byte
};

/// A connection for one request, within limits of the whole call: the library's own time limits
/// begin anew with each byte, so that one that sends a byte now and then would stay for ever.
class BoundedStream : public httplib::Stream {
 public:
  BoundedStream(socket_t socket, const CallLimits& limits);

  bool is_readable() const override;
  bool is_writable() const override;
  ssize_t read(char* to, size_t size) override;
  ssize_t write(const char* from, size_t size) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  socket_t socket() const override { return socket_; }

 private:
  using Clock = std::chrono::steady_clock;
  bool wait_for(short what, Clock::time_point until) const;
  bool fill();
  /// Counts what came in; false where it is too much.
  bool account(std::size_t got);

  socket_t socket_;
  CallLimits limits_;
  Clock::time_point began_ = Clock::now();
  Clock::time_point answer_by_{};
  std::array<char, 4096> buffer_{};
  std::size_t from_ = 0;
  std::size_t to_ = 0;
  std::size_t total_ = 0;
  std::size_t body_from_ = 0;  ///< bytes of the head, once its end was seen
  int line_ends_ = 0;          ///< of the four characters that end the head, how many in a row
};

}  // namespace basefog::desk

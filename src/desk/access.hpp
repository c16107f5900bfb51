// SPDX-License-Identifier: GPL-3.0-or-later
// Who may speak to the desk. The manual's topic "desk" names the threats; each has its answer here
// or in server.cpp.
#pragma once

#include <chrono>
#include <cstddef>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace basefog::desk {

/// A key of 160 random bits, as 40 hexadecimal digits. Throws std::runtime_error where the system
/// gives no random bytes.
std::string new_key();

/// Whether two texts are the same, in a time that depends on the length of `given` alone.
bool same_in_constant_time(std::string_view given, std::string_view secret);

/// What of a request decides whether it is answered. Heads that came twice are joined by a comma
/// by the caller, so that they are never what is wanted.
struct RequestHead {
  std::string method;
  std::string target;  ///< as it came, nothing decoded
  std::string host;
  std::string origin;        ///< empty where there was none
  std::string fetch_site;    ///< Sec-Fetch-Site; empty where there was none
  std::string content_type;  ///< empty where there was none
  std::size_t content_length = 0;
  bool chunked = false;  ///< a body whose length is not said
};

/// What the desk answers to.
struct Door {
  std::string key;
  int port = 0;

  std::string host() const { return "127.0.0.1:" + std::to_string(port); }
  std::string origin() const { return "http://" + host(); }
  std::string address() const { return origin() + "/" + key + "/"; }
};

/// Longest address and largest body that are read.
inline constexpr std::size_t kMostTarget = 300;
inline constexpr std::size_t kMostBody = std::size_t{1} << 20;

/// The state with which a request is refused [RFC9110, 15.5]; nothing where it may come in. Not a
/// word of it says which of its parts was wrong.
std::optional<int> refusal(const RequestHead& head, const Door& door);

/// What follows the key in an address that may come in, without what stands behind a "?".
std::string_view place_in(std::string_view target, const Door& door);

/// At most so many requests in a row, and so many a second after that.
class Rate {
 public:
  using Clock = std::chrono::steady_clock;
  Rate(double a_second, double in_a_row) : a_second_(a_second), most_(in_a_row), left_(most_) {}
  /// False where there were too many.
  bool allow(Clock::time_point now);

 private:
  std::mutex mutex_;
  double a_second_;
  double most_;
  double left_;
  Clock::time_point last_{};
};

}  // namespace basefog::desk

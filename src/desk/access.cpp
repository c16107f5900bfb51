// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/access.hpp"

#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <stdexcept>

namespace basefog::desk {
namespace {

constexpr int kForbidden = 403;
constexpr int kWrongMethod = 405;
constexpr int kLengthRequired = 411;
constexpr int kTooLarge = 413;
constexpr int kTooLong = 414;
constexpr int kWrongType = 415;

/// Only these stand in the desk's own addresses, so that nothing ever has to be decoded.
bool is_plain(std::string_view target) {
  return std::ranges::all_of(target, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ||
           std::string_view("/.-?=&").find(c) != std::string_view::npos;
  });
}

}  // namespace

std::string new_key() {
  std::array<unsigned char, 20> bytes{};
  std::size_t have = 0;
  while (have < bytes.size()) {
    const ssize_t got = ::getrandom(bytes.data() + have, bytes.size() - have, 0);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) throw std::runtime_error("the system gives no random bytes for the desk's key");
    have += static_cast<std::size_t>(got);
  }
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string key;
  for (const unsigned char byte : bytes) {
    key += kDigits[byte >> 4];
    key += kDigits[byte & 15];
  }
  return key;
}

bool same_in_constant_time(std::string_view given, std::string_view secret) {
  if (secret.empty()) return false;
  // Volatile, so that no compiler ends the loop at the first difference.
  volatile unsigned difference = given.size() == secret.size() ? 0U : 1U;
  for (std::size_t i = 0; i < given.size(); ++i) {
    difference = difference | (static_cast<unsigned char>(given[i]) ^
                               static_cast<unsigned char>(secret[i % secret.size()]));
  }
  return difference == 0;
}

std::optional<int> refusal(const RequestHead& head, const Door& door) {
  if (head.target.size() > kMostTarget) return kTooLong;
  const std::string_view target = head.target;
  const bool keyed = target.size() > door.key.size() + 1 && target.front() == '/' &&
                     target[door.key.size() + 1] == '/' &&
                     same_in_constant_time(target.substr(1, door.key.size()), door.key);
  // A page under another name that was led to this address says that name as host; a page of
  // another site says its origin, or that it comes from across sites.
  const bool here =
      head.host == door.host() && (head.origin.empty() || head.origin == door.origin()) &&
      (head.fetch_site.empty() || head.fetch_site == "same-origin" || head.fetch_site == "none");
  if (!keyed || !here || !is_plain(target) || target.find("..") != std::string_view::npos) {
    return kForbidden;
  }
  const bool body = head.content_length > 0 || head.chunked;
  if (head.method == "GET") return body ? std::optional(kTooLarge) : std::nullopt;
  if (head.method != "POST") return kWrongMethod;
  // What changes something comes from the desk's own page, as a type that no form can send.
  if (head.origin != door.origin()) return kForbidden;
  if (head.content_type != "application/json") return kWrongType;
  if (head.chunked) return kLengthRequired;
  if (head.content_length > kMostBody) return kTooLarge;
  return std::nullopt;
}

std::string_view place_in(std::string_view target, const Door& door) {
  target.remove_prefix(std::min(target.size(), door.key.size() + 2));
  return target.substr(0, target.find('?'));
}

bool Rate::allow(Clock::time_point now) {
  const std::scoped_lock lock(mutex_);
  if (last_ != Clock::time_point{}) {
    const std::chrono::duration<double> since = now - last_;
    left_ = std::min(most_, left_ + a_second_ * since.count());
  }
  last_ = now;
  if (left_ < 1) return false;
  left_ -= 1;
  return true;
}

}  // namespace basefog::desk

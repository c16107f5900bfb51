// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base64.hpp"

namespace basefog {
namespace {

constexpr std::string_view kDigits =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

}  // namespace

std::string base64(std::span<const std::uint8_t> bytes) {
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = bytes.size() - i;
    const unsigned group =
        bytes[i] << 16 | (left > 1 ? bytes[i + 1] << 8 : 0) | (left > 2 ? bytes[i + 2] : 0);
    text += kDigits[group >> 18];
    text += kDigits[(group >> 12) & 63];
    text += left > 1 ? kDigits[(group >> 6) & 63] : '=';
    text += left > 2 ? kDigits[group & 63] : '=';
  }
  return text;
}

std::optional<std::vector<std::uint8_t>> bytes_of_base64(std::string_view text) {
  if (text.size() % 4 != 0) return std::nullopt;
  std::vector<std::uint8_t> bytes;
  bytes.reserve(text.size() / 4 * 3);
  for (std::size_t i = 0; i < text.size(); i += 4) {
    const bool last = i + 4 == text.size();
    const std::size_t padding = !last || text[i + 3] != '=' ? 0 : text[i + 2] != '=' ? 1 : 2;
    unsigned group = 0;
    for (std::size_t k = 0; k < 4 - padding; ++k) {
      const std::size_t digit = kDigits.find(text[i + k]);
      if (digit == std::string_view::npos) return std::nullopt;
      group |= static_cast<unsigned>(digit) << (18 - 6 * k);
    }
    for (std::size_t k = 0; k < 3 - padding; ++k) {
      bytes.push_back(static_cast<std::uint8_t>(group >> (16 - 8 * k)));
    }
  }
  return bytes;
}

}  // namespace basefog

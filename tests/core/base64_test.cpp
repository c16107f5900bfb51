// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base64.hpp"

#include <gtest/gtest.h>

#include <utility>

namespace basefog {
namespace {

std::span<const std::uint8_t> bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// [RFC4648, 10], the test vectors.
TEST(Base64, matches_RFC4648) {
  for (const auto& [text, encoded] : {std::pair{"", ""},
                                      {"f", "Zg=="},
                                      {"fo", "Zm8="},
                                      {"foo", "Zm9v"},
                                      {"foob", "Zm9vYg=="},
                                      {"fooba", "Zm9vYmE="},
                                      {"foobar", "Zm9vYmFy"}}) {
    EXPECT_EQ(base64(bytes_of(text)), encoded);
    const auto back = bytes_of_base64(encoded);
    ASSERT_TRUE(back) << encoded;
    EXPECT_EQ(std::string(back->begin(), back->end()), text);
  }
}

TEST(Base64, what_is_none_is_refused) {
  for (const char* text : {"Zg", "Zg=", "Z===", "Zg=a", "Zg==Zg==", "Zm9*", "Zm 9"}) {
    EXPECT_FALSE(bytes_of_base64(text)) << text;
  }
}

}  // namespace
}  // namespace basefog

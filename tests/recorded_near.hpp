// SPDX-License-Identifier: GPL-3.0-or-later
// Included ahead of every test (tests/CMakeLists.txt): EXPECT_NEAR and ASSERT_NEAR as they are, and
// besides each test's report (--gtest_output) says how many numbers were compared, and the largest
// deviation for its tolerance. tests/validation/held_against.py makes a table of those that are
// held against a source from outside.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <sstream>
#include <string>

namespace basefog::test {

struct Comparisons {
  const testing::TestInfo* of = nullptr;
  int count = 0;
  double share = -1;  ///< largest deviation as a share of its tolerance
};

inline std::string short_number(double value) {
  std::ostringstream text;
  text.precision(3);
  text << value;
  return text.str();
}

inline void record(double found, double wanted, double tolerance) {
  static Comparisons so_far;
  const testing::TestInfo* running = testing::UnitTest::GetInstance()->current_test_info();
  if (running == nullptr) return;
  if (so_far.of != running) so_far = {running};
  ++so_far.count;
  testing::Test::RecordProperty("comparisons", so_far.count);
  const double deviation = std::abs(found - wanted);
  const double share = tolerance > 0 ? deviation / tolerance : deviation;
  if (share <= so_far.share) return;
  so_far.share = share;
  testing::Test::RecordProperty("deviation", short_number(deviation));
  testing::Test::RecordProperty("tolerance", short_number(tolerance));
}

inline testing::AssertionResult near_and_recorded(const char* found_text, const char* wanted_text,
                                                  const char* tolerance_text, double found,
                                                  double wanted, double tolerance) {
  record(found, wanted, tolerance);
  return testing::internal::DoubleNearPredFormat(found_text, wanted_text, tolerance_text, found,
                                                 wanted, tolerance);
}

}  // namespace basefog::test

#undef EXPECT_NEAR
#undef ASSERT_NEAR
#define EXPECT_NEAR(found, wanted, tolerance) \
  EXPECT_PRED_FORMAT3(::basefog::test::near_and_recorded, found, wanted, tolerance)
#define ASSERT_NEAR(found, wanted, tolerance) \
  ASSERT_PRED_FORMAT3(::basefog::test::near_and_recorded, found, wanted, tolerance)

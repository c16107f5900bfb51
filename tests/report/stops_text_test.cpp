// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/stops_text.hpp"

#include <gtest/gtest.h>

#include <string>
#include <utility>

namespace basefog::report {
namespace {

TEST(StopsText, thirds_as_people_write_them) {
  const std::pair<double, const char*> cases[] = {{0, "0"},           {0.1, "0"}, {0.2, "+1/3"},
                                                  {-2.0 / 3, "-2/3"}, {1, "+1"},  {1.35, "+1 1/3"},
                                                  {-2.7, "-2 2/3"}};
  for (const auto& [stops, text] : cases) EXPECT_EQ(stops_in_thirds(Stops(stops)), text) << stops;
}

TEST(StopsText, amounts_have_no_sign_and_a_plural_above_one) {
  EXPECT_EQ(amount_of_stops(Stops(-0.66)), "0.7 stop");
  EXPECT_EQ(amount_of_stops(Stops(1)), "1.0 stop");
  EXPECT_EQ(amount_of_stops(Stops(-1.06)), "1.1 stops");
}

TEST(StopsText, intervals_say_which_end_is_known) {
  EXPECT_EQ(interval_text({Stops(1), Stops(0.8), Stops(1.9)}), "+0.8 to +1.9");
  EXPECT_EQ(interval_text({Stops(1), Stops(0.8), {}}), "at least +0.8");
  EXPECT_EQ(interval_text({Stops(-1), {}, Stops(-0.04)}), "at most 0.0");
  EXPECT_EQ(evidence_text({Stops(-0.5), Stops(-0.7), Stops(-0.3)}, 24),
            "-0.5 (-0.7 to -0.3) over 24 frames");
  EXPECT_EQ(frames_text(1), "1 frame");
}

}  // namespace
}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/film_format.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace basefog::area {
namespace {

// 35 mm film: perforations 4.75 mm apart, eight to a frame of 24 x 36, so 38.0 mm [ISO1007].
TEST(FilmFormat, frames_of_35_mm_film_lie_whole_perforations_apart_as_ISO1007_has_them) {
  EXPECT_DOUBLE_EQ(kPerforationPitch, 4.75);
  EXPECT_DOUBLE_EQ(formats_named("24x36").front().pitch, 38.0);
  EXPECT_DOUBLE_EQ(formats_named("18x24").front().pitch, 19.0);
  for (const FilmFormat& format : film_formats()) {
    if (format.across != 24 || format.pitch == 0) continue;
    const double perforations = format.pitch / 4.75;
    EXPECT_DOUBLE_EQ(perforations, std::round(perforations)) << format.name;
  }
}

TEST(FilmFormat, pictures_fit_between_their_neighbours) {
  for (const FilmFormat& format : film_formats()) {
    EXPECT_GT(format.along, 0) << format.name;
    EXPECT_GT(format.across, 0) << format.name;
    if (format.pitch > 0) {
      EXPECT_GT(format.pitch, format.along) << format.name;
    }
  }
}

TEST(FilmFormat, names_may_be_turned) {
  ASSERT_FALSE(formats_named("36x24").empty());
  EXPECT_EQ(formats_named("36x24").front().name, "24x36");
  EXPECT_EQ(formats_named("60x70").size(), 2U);
  EXPECT_TRUE(formats_named("24x37").empty());
  EXPECT_TRUE(formats_named("").empty());
}

}  // namespace
}  // namespace basefog::area

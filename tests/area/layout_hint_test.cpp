// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/layout_hint.hpp"

#include <gtest/gtest.h>

#include <string>

#include "basefog/core/error.hpp"

namespace basefog::area {
namespace {

TEST(LayoutHint, reads_each_word) {
  const LayoutHint hint = parse_layout("sheet,36x24,frames=6,strips=5,order=left,next-strip=up");
  EXPECT_EQ(hint.content, ScanContent::sheet);
  EXPECT_EQ(hint.format, "24x36");
  EXPECT_EQ(hint.frames, 6);
  EXPECT_EQ(hint.strips, 5);
  EXPECT_EQ(hint.order, Heading::left);
  EXPECT_EQ(hint.strip_order, Heading::up);
  EXPECT_EQ(parse_layout("single").content, ScanContent::single);
  EXPECT_FALSE(parse_layout("60x60").content.has_value());
  EXPECT_TRUE(LayoutHint{}.empty());
}

TEST(LayoutHint, refuses_what_it_does_not_know) {
  for (const char* text : {"", "sheets", "24x37", "frames=0", "frames=61", "frames=six",
                           "frames=", "order=north", "strip,", "sheet,strips=-1", "colour=red",
                           "single,frames=4", "strip,strips=3", "single,sheet", "24x36,60x60",
                           "frames=4,frames=6", "strips=2,strips=3", "order=left,order=right"}) {
    EXPECT_THROW(parse_layout(text), InputError) << text;
  }
}

TEST(LayoutHint, says_what_contradicts_what) {
  EXPECT_EQ(parse_layout("frames=4,frames=4").frames, 4);
  try {
    parse_layout("single,frames=4");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("a single frame of 4 frames"), std::string::npos);
  }
}

}  // namespace
}  // namespace basefog::area

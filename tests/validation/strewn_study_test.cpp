// SPDX-License-Identifier: GPL-3.0-or-later
// A small run of the study of film as hands lay it. The figures that count come from strewn_study.
#include "validation/strewn_study.hpp"

#include <gtest/gtest.h>

#include "validation/strewn_sheets.hpp"

namespace validation {
namespace {

TEST(StrewnStudy, frames_are_found_or_it_is_said_that_film_lies_there) {
  StrewnScore all;
  for (int k = 0; k < kLies; ++k) {
    const basefog::strewn::Glass glass = draw_sheet(static_cast<Lie>(k), 1, 0);
    const basefog::scan::Scan scan = basefog::strewn::draw(glass);
    all.add(judge(glass, basefog::area::find_film(scan)));
  }
  EXPECT_GE(all.found, 0.98 * all.frames) << all.found << " of " << all.frames;
  EXPECT_EQ(all.invented, 0);
  EXPECT_EQ(all.silent, 0);
}

}  // namespace
}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include "basefog/core/enum_array.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

using response::ProfileFault;
using response::SourceKind;

TEST(ResponseText, says_where_a_response_was_taken_from) {
  EXPECT_EQ(response_text({SourceKind::option, "gamma=2.2"}), "--response gamma=2.2");
  EXPECT_EQ(response_text({SourceKind::response_file, "flatbed.toml", "step tablet of 21 steps"}),
            "response file flatbed.toml (step tablet of 21 steps)");
  EXPECT_EQ(response_text({SourceKind::response_file, "flatbed.toml"}),
            "response file flatbed.toml");
  EXPECT_EQ(response_text({SourceKind::profile, "Gray Gamma 2.2"}), "profile 'Gray Gamma 2.2'");
  EXPECT_EQ(response_text({SourceKind::profile}), "embedded profile");
  EXPECT_EQ(response_text({SourceKind::exif, "sRGB"}), "sRGB, declared in Exif");
  EXPECT_EQ(response_text({SourceKind::png, "gamma"}), "gamma, declared in the PNG");
  EXPECT_EQ(response_text({SourceKind::sensor}), "raw sensor values");
  EXPECT_EQ(response_text({SourceKind::recorded, "as written"}), "as written");
}

TEST(ResponseText, says_what_was_assumed_and_why_the_profile_was_not_used) {
  EXPECT_EQ(response_text({SourceKind::assumed_tiff}),
            "linear, assumed: a TIFF without a usable profile");
  EXPECT_EQ(response_text({.kind = SourceKind::assumed_jpeg,
                           .profile_fault = ProfileFault::other_space,
                           .profile_space = "CMYK"}),
            "sRGB, assumed: a JPEG without a usable profile or colour space; the embedded profile "
            "is for 'CMYK', not for gray or RGB pictures");
}

TEST(ResponseText, has_words_for_every_source) {
  for (const SourceKind kind : every<SourceKind>()) {
    EXPECT_FALSE(response_text({kind, "name"}).empty()) << name_of(kind);
  }
}

}  // namespace
}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "manual/manual.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <regex>
#include <stdexcept>

#include "basefog/core/quality.hpp"

namespace basefog::manual {
namespace {

using ::testing::HasSubstr;

std::string topic(const std::string& name) { return terminal_page(manual_page({}, name)); }

// What the program keeps in tables is all there.
TEST(Manual, has_every_flag_column_key_and_exit_state) {
  const std::string flags = topic("flags");
  for (const FlagText& flag : all_flags()) {
    EXPECT_THAT(flags, HasSubstr("\n  " + std::string(flag.name) + "\n"));
  }
  for (const char* head : {"got high (stops)", "scene (EV at ISO 100)", "attention (stops"}) {
    EXPECT_THAT(topic("columns"), HasSubstr(head));
  }
  EXPECT_THAT(topic("camera"), HasSubstr("\n[lens]\n"));
  EXPECT_THAT(topic("camera"), HasSubstr("hand_hold_limit = "));
  EXPECT_THAT(topic("film"), HasSubstr("toe_uncertainty = 0.15"));
  EXPECT_THAT(topic("response"), HasSubstr("full_scale = 65535"));
  EXPECT_THAT(topic("log"), HasSubstr("exposure compensation"));
  EXPECT_THAT(topic("json"), HasSubstr("frames[]"));
  EXPECT_THAT(topic("json"), HasSubstr("replacements[].shutter_seconds"));
  EXPECT_THAT(topic("exit"), HasSubstr("  3   Nothing could be measured."));
}

std::string content_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// A limit that the program holds to is in the manual, by its number.
TEST(Manual, has_every_limit) {
  const std::string root = BASEFOG_SAMPLES "/../";
  const std::string limits = content_of(root + "include/basefog/core/limits.hpp");
  const std::string page = content_of(root + "src/manual/topics/limits.7.txt");
  const std::regex name("constexpr [^;]*?(kMost\\w+) =");
  for (auto at = std::sregex_iterator(limits.begin(), limits.end(), name);
       at != std::sregex_iterator(); ++at) {
    EXPECT_THAT(page, HasSubstr("{" + (*at)[1].str() + "}"));
  }
  EXPECT_THAT(topic("limits"), HasSubstr("2,000,000,000 pixels"));
  EXPECT_THAT(topic("limits"), HasSubstr("512 MiB decoded"));
}

TEST(Manual, has_pages_for_its_topics_only) {
  for (const std::string& name : topic_names()) EXPECT_NO_THROW(topic(name)) << name;
  EXPECT_THROW(topic("kamera"), std::out_of_range);
}

}  // namespace
}  // namespace basefog::manual

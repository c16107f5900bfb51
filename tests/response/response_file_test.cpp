// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/response_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <locale>
#include <string>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog::response {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

class ResponseFiles : public ::testing::Test {
 protected:
  fs::path file(const std::string& text) {
    std::ofstream(path_, std::ios::binary) << text;
    return path_;
  }
  std::string refusal(const std::string& text) {
    try {
      read_response_file(file(text));
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), path_);
      return error.what();
    }
    return "not refused";
  }
  fs::path path_ = test::test_folder() / "response by hand.toml";
};

/// What a photographer with a table of codes and densities writes.
const std::string kByHand = R"(
schema = "basefog.response/1"
source = "my scanner, 21 steps"
[[channel]]
curve = [[60000, 0.0], [6000, 1.0], [600, 2.0]]  # any order, whole numbers too
)";

TEST_F(ResponseFiles, by_hand_with_the_least_that_is_needed) {
  const Response response = parse_response(file(kByHand).string());
  EXPECT_EQ(response.kind, ResponseKind::calibrated);
  EXPECT_EQ(response.source.kind, SourceKind::response_file);
  EXPECT_EQ(response.source.detail, "my scanner, 21 steps");
  // D = -log10 T [ISO5-1]: a decade of code is a density of 1, between and beyond the points too.
  for (const double code : {60.0, 600.0, 2000.0, 6000.0, 47000.0}) {
    EXPECT_NEAR(std::log10(response.light(60000.0 / 65535, 0) / response.light(code / 65535, 0)),
                std::log10(60000 / code), 1e-4);
  }
  EXPECT_EQ(response.light(0, 0), 0);
  EXPECT_EQ(response.light(1, 2), 1);
  // Trusted to the last point: 2.0 below the tablet's zero, which lies 0.04 below full scale.
  EXPECT_NEAR(response.densest.value(), 2.0 + std::log10(65535 / 60000.0), 1e-9);
}

TEST_F(ResponseFiles, roundtrip_whatever_the_locale) {
  struct Comma : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  ResponseFile written;
  written.source = "tablet \"A\"\nwith a line break";
  written.full_scale = 4095;
  written.relative_sigma = 0.0125;
  written.densest = 2.75;
  for (const double shift : {0.0, 0.1, 0.2}) {
    ResponseChannel channel;
    channel.fit = {{"black", 275.5}, {"exponent", 1.3525}};
    channel.steps = {{4000.25, 0.05, 0.001}, {3.5, 3.05, std::numeric_limits<double>::quiet_NaN()}};
    channel.curve = {{4000.25, 0.05 + shift}, {400.125, 1.05 + shift}, {3.5, 3.05 + shift}};
    written.channels.push_back(channel);
  }
  const std::locale before = std::locale::global(std::locale(std::locale(), new Comma));
  const std::string text = text_of(written);
  const ResponseFile read = read_response_file(file(text));
  std::locale::global(before);
  EXPECT_EQ(read.source, written.source);
  EXPECT_EQ(read.full_scale, written.full_scale);
  EXPECT_EQ(read.relative_sigma, written.relative_sigma);
  EXPECT_EQ(read.densest, written.densest);
  ASSERT_EQ(read.channels.size(), 3U);
  for (std::size_t c = 0; c < 3; ++c) {
    ASSERT_EQ(read.channels[c].curve.size(), 3U);
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_NEAR(read.channels[c].curve[i].code, written.channels[c].curve[i].code, 1e-6);
      EXPECT_NEAR(read.channels[c].curve[i].density, written.channels[c].curve[i].density, 1e-5);
    }
  }
  EXPECT_THAT(text, HasSubstr("exponent = 1.3525"));
}

TEST_F(ResponseFiles, say_what_is_wrong) {
  const std::string head = "schema = \"basefog.response/1\"\n";
  const auto with_curve = [&](const std::string& curve) {
    return refusal(head + "[[channel]]\ncurve = " + curve + "\n");
  };
  EXPECT_THAT(refusal("= nonsense"), HasSubstr("line 1"));
  EXPECT_THAT(refusal("x = 1"), HasSubstr("has no schema"));
  EXPECT_THAT(refusal("schema = \"basefog.response/9\""), HasSubstr("basefog.response/9"));
  EXPECT_THAT(refusal(head), HasSubstr("[[channel]]"));
  EXPECT_THAT(refusal(head + "[[channel]]\nblack = 3\n"), HasSubstr("no curve"));
  EXPECT_THAT(refusal(head + "full_scale = \"x\"\n"), HasSubstr("full_scale is not a number"));
  EXPECT_THAT(refusal(head + "ful_scale = 1\n"), HasSubstr("ful_scale is not a key"));
  EXPECT_THAT(refusal(head + "full_scale = -1\n"), HasSubstr("full_scale is not above 0"));
  EXPECT_THAT(with_curve("[[1, 2]]"), HasSubstr("two points"));
  EXPECT_THAT(with_curve("[[1, 2], [3]]"), HasSubstr("pair"));
  EXPECT_THAT(with_curve("[[1, \"a\"], [3, 1]]"), HasSubstr("pair of numbers"));
  EXPECT_THAT(with_curve("[[1, nan], [3, 1]]"), HasSubstr("pair of numbers"));
  EXPECT_THAT(with_curve("[[0, 2], [3, 1]]"), HasSubstr("code 0"));
  EXPECT_THAT(with_curve("[[70000, 0], [3, 1]]"), HasSubstr("full_scale = 65535"));
  EXPECT_THAT(with_curve("[[3, 2], [3, 1]]"), HasSubstr("stands twice"));
  EXPECT_THAT(with_curve("[[3, 1], [300, 2]]"), HasSubstr("does not rise as the code falls"));
}

TEST_F(ResponseFiles, refuse_folders_and_huge_files) {
  EXPECT_THROW(read_response_file(test::test_folder()), InputError);
  EXPECT_THAT(refusal(std::string(5U << 20U, '#')), HasSubstr("larger than 4 MiB"));
}

}  // namespace
}  // namespace basefog::response

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/toml_text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "basefog/core/error.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;

std::string refusal_of(const std::string& text) {
  try {
    parse_toml(text, "some.toml", "look it up");
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::malformed);
    return error.what();
  }
  return "";
}

std::string repeated(const std::string& text, int times) {
  std::string all;
  for (int k = 0; k < times; ++k) all += text;
  return all;
}

TEST(TomlText, is_read_or_refused_with_its_line) {
  EXPECT_EQ(parse_toml("[a.b]\nc = 1.5\n", "some.toml", "")["a"]["b"]["c"].value<double>(), 1.5);
  EXPECT_THAT(refusal_of("a = 1\nb = = 2\n"), HasSubstr("is not TOML: line 2"));
}

TEST(TomlText, names_that_would_nest_without_end_are_refused) {
  for (const char* part : {".a", " . a", ".1", ". 1", ".1 .1", ".\",\"", ".'='"}) {
    for (const int times : {60, 500'000}) {
      EXPECT_THAT(refusal_of("x = 1\n1" + repeated(part, times) + " = 1\n"),
                  HasSubstr("dots on line 2"))
          << part;
      EXPECT_THAT(refusal_of("x = 1\n[1" + repeated(part, times) + "]\n"),
                  HasSubstr("dots on line 2"))
          << part;
    }
  }
}

TEST(TomlText, the_deepest_that_is_not_refused_does_no_harm) {
  const std::string level = "[\n{a" + repeated(".a", 50) + "=";
  std::string text = "x = " + repeated(level, 100) + "1" + repeated("}]", 100) + "\n";
  EXPECT_EQ(refusal_of(text), "");
}

TEST(TomlText, numbers_rows_of_dots_and_sentences_are_no_names) {
  EXPECT_EQ(refusal_of("a = [" + repeated("0.125, ", 1000) + "1.5]\n"), "");
  EXPECT_EQ(refusal_of("# speed " + repeated(".", 200) + " 400\n"), "");
  EXPECT_EQ(refusal_of("# " + repeated("0.10 ", 200) + "\n"), "");
  EXPECT_EQ(refusal_of("notes = \"" + repeated("As developed. ", 40) + "\"\n"), "");
}

}  // namespace
}  // namespace basefog

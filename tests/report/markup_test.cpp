// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/markup.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

constexpr const char* kReplaced = "\xEF\xBF\xBD";

TEST(Printable, keeps_valid_utf8) {
  EXPECT_EQ(printable("Brücke 写真 \xF0\x9F\x93\xB7"), "Brücke 写真 \xF0\x9F\x93\xB7");
}

TEST(Printable, replaces_what_is_no_utf8) {
  // Overlong, surrogate, beyond Unicode, cut short and stray bytes [RFC3629, 3 and 10].
  for (const char* bad : {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80",
                          "\xE2\x82", "\x80", "\xFF"}) {
    const std::string text = printable(bad);
    EXPECT_EQ(text.find(bad), std::string::npos);
    EXPECT_EQ(text.substr(0, 3), kReplaced);
  }
}

TEST(Printable, takes_the_power_from_control_characters) {
  EXPECT_EQ(printable("a\x1b[2Jb"), std::string("a") + kReplaced + "[2Jb");
  EXPECT_EQ(printable("a\nb\tc"), "a b c");
  EXPECT_EQ(printable("fit.\xE2\x80\xAE"
                      "gpj"),
            std::string("fit.") + kReplaced + "gpj");
  EXPECT_EQ(printable("\xC2\x9B"
                      "31m"),
            std::string(kReplaced) + "31m");
}

TEST(EscapeMarkup, leaves_no_character_that_could_end_text_or_attribute) {
  EXPECT_EQ(escape_markup("<a href=\"x\">&'"), "&lt;a href=&quot;x&quot;&gt;&amp;&#39;");
}

TEST(CsvText, quotes_where_needed) {
  EXPECT_EQ(csv_text("plain"), "plain");
  EXPECT_EQ(csv_text("a,b"), "\"a,b\"");
  EXPECT_EQ(csv_text("say \"x\""), "\"say \"\"x\"\"\"");
  EXPECT_EQ(csv_text("two\nlines"), "\"two\nlines\"");
}

TEST(CsvText, defuses_formulas) {
  for (const char* formula : {"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"}) {
    const std::string field = csv_text(formula);
    EXPECT_TRUE(field.starts_with("'") || field.starts_with("\"'")) << formula;
  }
}

TEST(Fit, pads_and_cuts_by_places_not_bytes) {
  EXPECT_EQ(fit("Brücke", 8), "Brücke  ");
  EXPECT_EQ(fit("Brückenkopf", 7), "Brücke\u2026");
  EXPECT_EQ(display_width("写真"), 4);
  EXPECT_EQ(fit("写真写真", 4), "写\u2026 ");
  EXPECT_EQ(display_width("e\xCC\x81"), 1);
  EXPECT_EQ(display_width("\u0915\u0941"), 1) << "a vowel sign takes no place of its own";
  EXPECT_EQ(fit("abc", 0), "");
}

TEST(CutMiddle, keeps_both_ends) {
  EXPECT_EQ(cut_middle("roll07_12.tif", 20), "roll07_12.tif");
  EXPECT_EQ(cut_middle("a-very-long-name_12.tif", 12),
            "a-ver\u2026"
            "12.tif");
  EXPECT_EQ(display_width(cut_middle("写真写真写真写真", 7)), 7);
}

TEST(Wrap, breaks_at_spaces) {
  EXPECT_EQ(wrap("one two three", 9, 2), "  one two\n  three\n");
  EXPECT_EQ(wrap("unbreakable_word x", 8, 0), "unbreakable_word\nx\n");
  EXPECT_EQ(wrap("one\ntwo  three\n", 20, 0), "one two three\n");
  EXPECT_EQ(wrap("", 8, 0), "");
}

}  // namespace
}  // namespace basefog::report

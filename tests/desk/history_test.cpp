// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/history.hpp"

#include <gtest/gtest.h>

#include <fstream>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog::desk {
namespace {

namespace fs = std::filesystem;

Sheet saying(const std::string& text) {
  Sheet sheet = empty_sheet();
  sheet.rows = {{1, {"1", text}}};
  return *checked(sheet);
}

std::string said(const History& history) { return history.now().sheet.rows.at(0).cells.at(1); }

class Kept : public testing::Test {
 protected:
  Kept()
      : folder_(test::test_folder() /
                testing::UnitTest::GetInstance()->current_test_info()->name()) {}
  fs::path folder_;
};

TEST_F(Kept, goes_on_where_it_left_off) {
  {
    History history(folder_, saying("a"));
    history.change(saying("b"), "");
    EXPECT_EQ(history.now().number, 2);
  }
  EXPECT_EQ(said(History(folder_, saying("z"))), "b");
}

TEST_F(Kept, is_taken_back_and_done_again_over_a_restart) {
  {
    History history(folder_, saying("a"));
    history.change(saying("b"), "1");
    history.change(saying("c"), "2");
    EXPECT_TRUE(history.undo());
    EXPECT_EQ(said(history), "b");
  }
  History history(folder_, saying("z"));
  EXPECT_TRUE(history.undo());
  EXPECT_EQ(said(history), "a");
  EXPECT_FALSE(history.undo());
  EXPECT_TRUE(history.redo());
  EXPECT_EQ(said(history), "b");
  EXPECT_TRUE(history.redo());
  EXPECT_EQ(said(history), "c");
  EXPECT_FALSE(history.redo());
  EXPECT_TRUE(history.undo());
  EXPECT_EQ(said(history), "b");
  history.change(saying("d"), "3");
  EXPECT_FALSE(history.redo());
  EXPECT_TRUE(history.undo());
  EXPECT_EQ(said(history), "b");
}

TEST_F(Kept, letters_of_one_word_are_taken_back_as_one) {
  History history(folder_, saying(""));
  for (const char* text : {"s", "st", "str"}) history.change(saying(text), "cell-1");
  history.change(saying("stray"), "cell-2");
  EXPECT_TRUE(history.undo());
  EXPECT_EQ(said(history), "str");
  EXPECT_TRUE(history.undo());
  EXPECT_EQ(said(history), "");
}

TEST_F(Kept, is_never_written_over_by_another_desk) {
  History one(folder_, saying("a"));
  History other(folder_, saying("a"));
  one.change(saying("b"), "");
  EXPECT_THROW(other.change(saying("c"), ""), InputError);
  EXPECT_EQ(said(other), "a");
  EXPECT_EQ(said(History(folder_, saying("z"))), "b");
}

TEST_F(Kept, holds_what_a_kill_leaves_beside_it) {
  { History(folder_, saying("a")).change(saying("b"), ""); }
  std::ofstream(folder_ / ".basefog-0123456789abcdef.part") << "{ half a sta";
  std::ofstream(folder_ / "notes.txt") << "not ours";
  EXPECT_EQ(said(History(folder_, saying("z"))), "b");
}

TEST_F(Kept, says_which_state_cannot_be_read) {
  { History(folder_, saying("a")).change(saying("b"), ""); }
  std::ofstream(folder_ / "000002.json") << "{";
  EXPECT_THROW(History(folder_, saying("z")), InputError);
  fs::remove(folder_ / "000002.json");
  EXPECT_EQ(said(History(folder_, saying("z"))), "a");
}

}  // namespace
}  // namespace basefog::desk

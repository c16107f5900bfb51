// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/whole_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <string>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;

class WholeFile : public ::testing::Test {
 protected:
  WholeFile() { fs::remove_all(folder); }
  ~WholeFile() override { fs::remove_all(folder); }
  std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  fs::path folder = test::test_folder() / "whole file, \"quoted\"";
};

TEST_F(WholeFile, is_written_and_replaced_with_nothing_left_beside_it) {
  write_whole_file(folder / "a" / "x.csv", "one");
  write_whole_file(folder / "a" / "x.csv", std::string("two\0three", 9));
  EXPECT_EQ(content(folder / "a" / "x.csv"), std::string("two\0three", 9));
  EXPECT_EQ(std::distance(fs::directory_iterator(folder / "a"), {}), 1);
}

TEST_F(WholeFile, leaves_the_old_file_when_the_new_cannot_be_written) {
  write_whole_file(folder / "x", "old");
  try {
    write_whole_file(folder / "x" / "y", "new");  // a file where a folder would have to be
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::not_writable);
    EXPECT_THAT(error.what(), ::testing::HasSubstr("y: could not be written ("));
  }
  EXPECT_EQ(content(folder / "x"), "old");
}

TEST_F(WholeFile, may_have_a_name_without_a_folder) {
  fs::create_directories(folder);
  const fs::path before = fs::current_path();
  fs::current_path(folder);
  EXPECT_NO_THROW(write_whole_file("new.csv", "text"));
  fs::current_path(before);
  EXPECT_EQ(content(folder / "new.csv"), "text");
}

TEST_F(WholeFile, has_the_usual_permissions) {
  write_whole_file(folder / "x", "text");
  EXPECT_NE(fs::status(folder / "x").permissions() & fs::perms::group_read, fs::perms::none);
}

TEST(NameWithin, keeps_what_fits_and_tells_apart_what_does_not) {
  const std::string fits(60, 'x');
  EXPECT_EQ(name_within(fits, 60), fits);
  const std::string one = std::string(100, 'a') + "left" + std::string(100, 'b');
  const std::string other = std::string(100, 'a') + "rite" + std::string(100, 'b');
  EXPECT_EQ(name_within(one, 60).size(), 60U);
  EXPECT_NE(name_within(one, 60), name_within(other, 60));
  EXPECT_EQ(name_within(one, 60), name_within(one, 60));
  EXPECT_TRUE(name_within(one, 60).starts_with("aaaa"));
  EXPECT_TRUE(name_within(one, 60).ends_with("bbbb"));
}

TEST(NameWithin, cuts_between_letters) {
  std::string name;
  for (int i = 0; i < 100; ++i) name += "\u00E9";
  for (std::size_t most = 60; most < 64; ++most) {
    const std::string cut = name_within(name, most);
    EXPECT_LE(cut.size(), most);
    const std::size_t head = cut.find('_');
    const std::size_t tail = cut.rfind('_') + 1;
    EXPECT_EQ(head % 2, 0U) << cut;
    EXPECT_EQ((cut.size() - tail) % 2, 0U) << cut;
    EXPECT_TRUE(name.starts_with(cut.substr(0, head)));
    EXPECT_TRUE(name.ends_with(cut.substr(tail)));
  }
}

}  // namespace
}  // namespace basefog

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/text_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "test_folder.hpp"

namespace basefog {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

constexpr TextFileKind kNote = {"a note", limits::kMebibyte};

ErrorCode code_of(const fs::path& path) {
  try {
    read_text_file(path, kNote);
  } catch (const InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("a note"));
    return error.code();
  }
  ADD_FAILURE() << "was read";
  return ErrorCode::usage;
}

TEST(TextFile, is_read_whole_up_to_the_limit_and_refused_above) {
  const fs::path file = test::test_folder() / "note.txt";
  for (const std::size_t size : {std::size_t{0}, std::size_t{70'000}, limits::kMebibyte}) {
    std::string text(size, 'x');
    if (size > 0) text.back() = '\0';
    std::ofstream(file, std::ios::binary) << text;
    EXPECT_EQ(read_text_file(file, kNote), text);
  }
  std::ofstream(file, std::ios::binary) << std::string(limits::kMebibyte + 1, 'x');
  EXPECT_EQ(code_of(file), ErrorCode::unreadable);
}

TEST(TextFile, what_is_no_file_is_refused_at_once) {
  const fs::path folder = test::test_folder();
  EXPECT_EQ(code_of(folder), ErrorCode::unreadable);
  EXPECT_EQ(code_of(folder / "nothing"), ErrorCode::not_found);
  ASSERT_EQ(mkfifo((folder / "pipe").c_str(), 0600), 0);
  EXPECT_EQ(code_of(folder / "pipe"), ErrorCode::unreadable);
  fs::create_symlink("loop", folder / "loop");
  EXPECT_EQ(code_of(folder / "loop"), ErrorCode::unreadable);
  EXPECT_EQ(code_of("/dev/zero"), ErrorCode::unreadable);
}

}  // namespace
}  // namespace basefog

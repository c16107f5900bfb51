// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_files.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog::scan {
namespace {

namespace fs = std::filesystem;

class ScanFiles : public ::testing::Test {
 protected:
  ScanFiles() {
    fs::remove_all(folder);
    fs::create_directories(folder);
  }
  ~ScanFiles() override { fs::remove_all(folder); }
  fs::path make(const std::string& name) {
    std::ofstream(folder / name) << "x";
    return folder / name;
  }
  fs::path folder = test::test_folder() / "scan files";
};

TEST_F(ScanFiles, folder_is_listed_as_a_person_counts) {
  for (const char* name : {"r1_10.tif", "r1_2.tif", "r1_2A.tif", "log.csv", "r1_1.TIF"}) make(name);
  fs::create_directory(folder / "folder.tif");
  std::vector<std::string> names;
  for (const fs::path& p : find_scans({folder})) names.push_back(p.filename());
  EXPECT_THAT(names, ::testing::ElementsAre("r1_1.TIF", "r1_2.tif", "r1_2A.tif", "r1_10.tif"));
}

TEST_F(ScanFiles, files_keep_their_order_and_are_read_once) {
  const fs::path b = make("b.tif");
  const fs::path a = make("a.tif");
  EXPECT_THAT(find_scans({b, a, folder / "." / "b.tif", folder}), ::testing::ElementsAre(b, a));
}

TEST_F(ScanFiles, nothing_to_read_is_said_by_name) {
  try {
    find_scans({folder});
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::no_scans);
    EXPECT_THAT(error.what(), ::testing::HasSubstr("scan files: holds no scans; name a folder"));
  }
}

TEST_F(ScanFiles, a_missing_file_does_not_sink_the_others) {
  const fs::path a = make("a.tif");
  EXPECT_THAT(find_scans({folder / "gone.tif", a}), ::testing::ElementsAre(folder / "gone.tif", a));
}

TEST(CountsBefore, orders_numbers_by_value_whatever_their_length) {
  EXPECT_TRUE(counts_before("f9", "f10"));
  EXPECT_TRUE(counts_before("f009", "f10"));
  EXPECT_FALSE(counts_before("f10", "f9"));
  EXPECT_TRUE(counts_before("f7", "f7A"));
  EXPECT_FALSE(counts_before("f7", "f7"));
  EXPECT_NE(counts_before("f07", "f7"), counts_before("f7", "f07"));
  EXPECT_TRUE(counts_before("99999999999999999999998", "99999999999999999999999"));
}

}  // namespace
}  // namespace basefog::scan

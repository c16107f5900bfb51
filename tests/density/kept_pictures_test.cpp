// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of frames, of which a store keeps the small ones.
#include <gtest/gtest.h>

#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/density/scan_store.hpp"
#include "density/negative_picture.hpp"
#include "density/record_bytes.hpp"
#include "makers/scan_writer.hpp"
#include "test_folder.hpp"

namespace basefog::density {
namespace {
namespace fs = std::filesystem;

constexpr int kWidth = 320;
constexpr int kHeight = 120;

using Pictures = std::map<std::size_t, NegativePicture>;

/// Two frames of grain side by side in one scan.
class KeptPictures : public ::testing::Test {
 protected:
  void SetUp() override {
    const std::string name = testing::UnitTest::GetInstance()->current_test_info()->name();
    folder_ = test::test_folder() / name;
    std::mt19937 random(7);
    std::vector<std::uint16_t> codes;
    for (int i = 0; i < kWidth * kHeight; ++i) {
      codes.push_back(static_cast<std::uint16_t>(2000 + random() % 60000));
    }
    scan_ = test::write_tiff(name + ".tif", {.width = kWidth, .height = kHeight}, codes);
    options_.read.response = response::parse_response("linear");
    options_.store = std::make_shared<ScanStore>(folder_);
  }

  Pictures pictures(int side) const {
    const std::vector<area::FrameRegion> regions{{80.25, 60, 140, 100, 0.5}, {240, 60, 140, 100}};
    Pictures taken;
    read_pictures(scan_, options_, regions, side,
                  [&](std::size_t i, NegativePicture picture) { taken[i] = std::move(picture); });
    return taken;
  }

  std::vector<fs::path> entries() const {
    std::vector<fs::path> entries;
    if (!fs::exists(folder_)) return entries;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder_)) {
      entries.push_back(entry.path());
    }
    return entries;
  }

  fs::path folder_;
  fs::path scan_;
  MeasureOptions options_;
};

/// Marks the picture of an entry, as nobody but this test would.
void mark(const fs::path& entry) {
  std::ifstream in(entry, std::ios::binary);
  const std::string bytes(std::istreambuf_iterator<char>(in), {});
  const std::size_t start = std::string_view("basefog kept scan\n").size() + 4;  // and the checksum
  std::uint32_t size = 0;
  std::memcpy(&size, bytes.data() + start, sizeof size);
  const std::string key = bytes.substr(start + sizeof size, size);
  auto record = record_of_bytes(bytes, key);
  ASSERT_TRUE(record) << entry;
  record->frames.at(0).negative.millidensity.front() = 4321;
  std::ofstream(entry, std::ios::binary) << record_bytes(*record, key);
}

void expect_same(const Pictures& a, const Pictures& b) {
  ASSERT_EQ(a.size(), b.size());
  for (const auto& [i, picture] : a) {
    EXPECT_EQ(picture.width, b.at(i).width);
    EXPECT_EQ(picture.height, b.at(i).height);
    EXPECT_EQ(picture.channels, b.at(i).channels);
    EXPECT_EQ(picture.millidensity, b.at(i).millidensity);
  }
}

TEST_F(KeptPictures, come_from_the_store_the_second_time) {
  const Pictures first = pictures(100);
  ASSERT_EQ(first.size(), 2U);
  ASSERT_EQ(entries().size(), 2U);
  expect_same(pictures(100), first);
  for (const fs::path& entry : entries()) mark(entry);
  const Pictures marked = pictures(100);
  for (const auto& [i, picture] : marked) EXPECT_EQ(picture.millidensity.front(), 4321) << i;
}

TEST_F(KeptPictures, of_another_size_or_of_a_scan_that_changed_are_read_anew) {
  const Pictures first = pictures(100);
  for (const fs::path& entry : entries()) mark(entry);
  EXPECT_EQ(pictures(120).at(0).width, 120);
  std::ofstream(scan_, std::ios::binary | std::ios::app) << "later";
  expect_same(pictures(100), first);
}

TEST_F(KeptPictures, with_one_of_them_gone_the_rest_is_enough) {
  const Pictures first = pictures(100);
  fs::remove(entries().front());
  expect_same(pictures(100), first);
  EXPECT_EQ(entries().size(), 2U);
}

TEST_F(KeptPictures, large_ones_for_proofs_are_not_kept) {
  EXPECT_EQ(pictures(2000).size(), 2U);
  EXPECT_TRUE(entries().empty());
}

}  // namespace
}  // namespace basefog::density

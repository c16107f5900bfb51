// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/scan_store.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <set>
#include <string>

#include "density/record_bytes.hpp"
#include "density/store_key.hpp"
#include "test_folder.hpp"

namespace basefog::density {
namespace {
namespace fs = std::filesystem;

const fs::path kScan = fs::path(BASEFOG_SAMPLES) / "roll" / "roll03_03.tif";

/// A new folder for the running test.
fs::path own_folder() {
  const testing::TestInfo* test = testing::UnitTest::GetInstance()->current_test_info();
  fs::path folder = test::test_folder() / test->name();
  fs::create_directory(folder);
  return folder;
}

void expect_same(const ScanRecord& a, const ScanRecord& b) {
  EXPECT_EQ(scan_record_text(a), scan_record_text(b));
  ASSERT_EQ(a.frames.size(), b.frames.size());
  for (std::size_t i = 0; i < a.frames.size(); ++i) {
    const auto& curves = a.frames[i].response.curves;
    ASSERT_EQ(curves == nullptr, b.frames[i].response.curves == nullptr);
    if (curves) {
      EXPECT_EQ(*curves, *b.frames[i].response.curves);
    }
  }
  ASSERT_TRUE(a.finding && b.finding);
  EXPECT_EQ(a.finding->scan.format, b.finding->scan.format);
  EXPECT_EQ(a.finding->scan.blocks.channels, b.finding->scan.blocks.channels);
  EXPECT_EQ(a.finding->layout.strips.size(), b.finding->layout.strips.size());
  EXPECT_EQ(a.finding->layout.flags, b.finding->layout.flags);
}

/// A colour frame of 24 x 36 whose densities and spreads no packing makes smaller.
ScanRecord noisy_record() {
  std::mt19937 random(20261130);
  std::uniform_real_distribution<float> density(0.0F, 3.0F);
  FrameMeasurement frame;
  frame.region = {3000, 2000, 5900, 3900, 0.3};
  frame.scan_width = 6000;
  frame.scan_height = 4000;
  frame.apertures = {.columns = 71, .rows = 46, .channels = 3};
  for (std::size_t i = 0; i < std::size_t{71} * 46 * 3; ++i) {
    frame.apertures.density.push_back(density(random));
    frame.apertures.sigma.push_back(density(random));
    frame.apertures.clipped.push_back(0);
    frame.apertures.floored.push_back(0);
  }
  frame.densest.assign(3, Density::from_value(3.6));
  for (NegativePicture* picture : {&frame.negative, &frame.overview}) {
    *picture = {.width = 90, .height = 60, .channels = 3};
    for (int i = 0; i < 90 * 60 * 3; ++i) {
      picture->millidensity.push_back(static_cast<std::uint16_t>(random() % 3000));
    }
  }
  frame.response.curves =
      std::make_shared<response::ResponseCurves>(response::ResponseCurves{{0, 0.25F, 1}});
  ScanRecord record{.frames = {frame, frame}};
  record.finding.emplace().scan.format = "TIFF";
  return record;
}

TEST(RecordBytes, give_back_the_record_to_the_bit) {
  const ScanRecord noisy = noisy_record();
  const auto back = record_of_bytes(record_bytes(noisy, "a key"), "a key");
  ASSERT_TRUE(back);
  expect_same(noisy, *back);
  ScanRecord measured = measure_scan(kScan);
  const auto kept = record_of_bytes(record_bytes(measured, "k"), "k");
  ASSERT_TRUE(kept);
  // Whose file it is, and its sum, are known of each file anew.
  measured.file.clear();
  measured.sum.reset();
  for (FrameMeasurement& frame : measured.frames) frame.file.clear();
  expect_same(measured, *kept);
}

TEST(RecordBytes, are_at_most_150_kB_a_frame_beside_its_pictures_and_keep_equal_pictures_once) {
  const ScanRecord record = noisy_record();
  constexpr std::size_t kPicture = 90 * 60 * 3 * 2;
  EXPECT_LE(record_bytes(record, "k").size(), 2 * 150'000 + 2 * kPicture);
}

TEST(RecordBytes, that_are_damaged_cut_short_or_of_another_key_are_none) {
  const std::string bytes = record_bytes(noisy_record(), "a key");
  EXPECT_FALSE(record_of_bytes(bytes, "another key"));
  EXPECT_FALSE(record_of_bytes("", "a key"));
  for (std::size_t at = 0; at < bytes.size(); at += bytes.size() / 97) {
    EXPECT_FALSE(record_of_bytes(bytes.substr(0, at), "a key")) << at;
    std::string damaged = bytes;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x10);
    EXPECT_FALSE(record_of_bytes(damaged, "a key")) << at;
  }
}

TEST(StoreKey, is_another_for_every_option_and_for_no_other_reason) {
  const fs::path folder = own_folder();
  fs::copy_file(kScan, folder / "scan_1.tif");
  fs::copy_file(kScan, folder / "light.tif");
  const std::vector<std::function<void(MeasureOptions&)>> changes = {
      [](MeasureOptions&) {},
      [](MeasureOptions& o) { o.read.response = response::parse_response("linear"); },
      [](MeasureOptions& o) { o.read.response = response::parse_response("srgb"); },
      [](MeasureOptions& o) { o.read.response = response::parse_response("gamma=2.2"); },
      [](MeasureOptions& o) { o.read.response = response::parse_response("gamma=2.2000001"); },
      [&folder](MeasureOptions& o) { o.read.light = folder / "light.tif"; },
      [](MeasureOptions& o) { o.read.most_blocks = 400'000; },
      [](MeasureOptions& o) { o.read.most_pixels = 1'000'000'000; },
      [](MeasureOptions& o) { o.layout = area::parse_layout("single"); },
      [](MeasureOptions& o) { o.layout = area::parse_layout("24x36"); },
      [](MeasureOptions& o) { o.layout = area::parse_layout("frames=6"); },
      [](MeasureOptions& o) { o.layout = area::parse_layout("strips=6"); },
      [](MeasureOptions& o) { o.layout = area::parse_layout("order=left"); },
      [](MeasureOptions& o) { o.layout = area::parse_layout("next-strip=left"); },
      [](MeasureOptions& o) { o.picture_side = 900; },
  };
  std::set<std::string> keys;
  for (const auto& change : changes) {
    MeasureOptions options;
    change(options);
    const auto key = store_key(folder / "scan_1.tif", options);
    ASSERT_TRUE(key);
    EXPECT_EQ(key, store_key(folder / "scan_1.tif", options));
    keys.insert(*key);
  }
  EXPECT_EQ(keys.size(), changes.size());
}

TEST(StoreKey, sees_a_change_whose_time_was_set_back) {
  const fs::path folder = own_folder();
  const fs::path file = folder / "scan.tif";
  fs::copy_file(kScan, file);
  const auto time = fs::last_write_time(file);
  const auto before = store_key(file, {});
  std::fstream(file, std::ios::in | std::ios::out | std::ios::binary).seekp(200'000).put('x');
  fs::last_write_time(file, time);
  EXPECT_EQ(fs::file_size(file), fs::file_size(kScan));
  EXPECT_NE(store_key(file, {}), before);
}

TEST(StoreKey, is_absent_for_what_cannot_be_known) {
  const fs::path folder = own_folder();
  EXPECT_FALSE(store_key(folder / "missing.tif", {}));
  EXPECT_FALSE(store_key(folder, {}));
  ASSERT_EQ(mkfifo((folder / "pipe.tif").c_str(), 0600), 0);
  EXPECT_FALSE(store_key(folder / "pipe.tif", {})) << "and it must not wait for a writer";
  MeasureOptions options;
  options.read.light = folder / "missing.tif";
  EXPECT_FALSE(store_key(kScan, options));
  // A large file that was written just now may still be growing.
  std::ofstream(folder / "large.tif").seekp((1 << 20) + 10).put('x');
  EXPECT_FALSE(store_key(folder / "large.tif", {}));
}

TEST(ScanStore, gives_what_was_kept_in_place_of_reading) {
  const fs::path folder = own_folder();
  MeasureOptions options;
  options.store = std::make_shared<ScanStore>(folder / "store");
  const ScanRecord first = measure_scan(kScan, options);
  expect_same(first, measure_scan(kScan, options));
  expect_same(first, measure_scan(kScan));
  // What lies under the scan's key is what is given, so nothing else was looked at.
  ScanRecord other = first;
  other.frames.at(0).index = 17;
  options.store->keep(*store_key(kScan, options), other);
  const ScanRecord kept = measure_scan(kScan, options);
  EXPECT_EQ(kept.frames.at(0).index, 17);
  EXPECT_EQ(kept.file, kScan);
  EXPECT_EQ(kept.frames.at(0).file, kScan);
  options.read.response = response::parse_response("gamma=3");
  EXPECT_EQ(measure_scan(kScan, options).frames.at(0).index, 0) << "of another response";
}

TEST(ScanStore, keeps_no_failure) {
  const fs::path folder = own_folder();
  std::ofstream(folder / "broken.tif") << "no scan";
  MeasureOptions options;
  options.store = std::make_shared<ScanStore>(folder / "store");
  EXPECT_TRUE(measure_scan(folder / "broken.tif", options).failure);
  EXPECT_FALSE(fs::exists(folder / "store"));
}

TEST(ScanStore, stays_within_its_bound_and_lets_go_what_was_used_longest_ago) {
  const fs::path folder = own_folder();
  const ScanRecord record = noisy_record();
  const std::uint64_t entry = record_bytes(record, "00").size();
  const std::uint64_t bound = 20 * entry;
  ScanStore(folder / "store", bound).keep("00", record);
  using namespace std::chrono_literals;
  for (int i = 1; i < 40; ++i) {
    // Ages of files have the resolution of the disk: set apart by hand.
    for (const auto& file : fs::directory_iterator(folder / "store")) {
      fs::last_write_time(file, fs::last_write_time(file) - 1h);
    }
    ScanStore store(folder / "store", bound);
    EXPECT_TRUE(store.find("00")) << "it is used all the time, after " << i;
    store.keep((i < 10 ? "0" : "") + std::to_string(i), record);
    std::uint64_t bytes = 0;
    for (const auto& file : fs::directory_iterator(folder / "store")) bytes += file.file_size();
    EXPECT_LE(bytes, bound);
  }
  ScanStore store(folder / "store", bound);
  EXPECT_TRUE(store.find("39"));
  EXPECT_FALSE(store.find("01"));
  store.keep("large", [&record] {
    ScanRecord large = record;
    large.frames.resize(60, record.frames.front());
    return large;
  }());
  EXPECT_FALSE(store.find("large")) << "it would push the others out";
}

}  // namespace
}  // namespace basefog::density

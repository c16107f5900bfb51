// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/reading_apart.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <iterator>
#include <sstream>

#include "basefog/core/error.hpp"
#include "basefog/density/roll_reference.hpp"
#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "basefog/roll/analysis.hpp"
#include "density/negative_picture.hpp"
#include "test_folder.hpp"

namespace basefog::density {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

const fs::path kRoll = fs::path(BASEFOG_SAMPLES) / "roll";

std::string page_of(const roll::Analysis& analysis) {
  std::ostringstream out;
  report::write_json(out, analysis);
  page::write_html(out, analysis);
  return out.str();
}

roll::ReviewOptions options_with(std::shared_ptr<const apart::Processes> processes) {
  roll::ReviewOptions options;
  options.log = kRoll / "log.csv";
  options.measure.read.apart = std::move(processes);
  return options;
}

/// Reads as always, but for files with one name, over which it breaks.
void break_over_02(std::string_view request, const apart::Answer& answer) {
  if (request.find("roll03_02") != std::string_view::npos) std::abort();
  answer_reading(request, answer);
}

/// No processes are forked beside threads, which other tests of one run may have started; ctest runs
/// each by itself.
class ReadingApart : public ::testing::Test {
 protected:
  void SetUp() override {
    if (std::distance(fs::directory_iterator("/proc/self/task"), {}) > 1) {
      GTEST_SKIP() << "this process has threads";
    }
    ASSERT_NE(start_reading_apart(), nullptr);
  }
};

TEST_F(ReadingApart, a_review_is_the_same_to_the_byte) {
  const auto processes = start_reading_apart();
  ASSERT_NE(processes, nullptr);
  const std::vector<fs::path> scans = {kRoll / "roll03_01.tif", kRoll / "roll03_02.tif",
                                       kRoll / "roll03_03.tif"};
  EXPECT_EQ(page_of(roll::review(scans, options_with(processes))),
            page_of(roll::review(scans, options_with(nullptr))));
}

TEST_F(ReadingApart, every_container_is_read_the_same) {
  const auto processes = start_reading_apart();
  int files = 0;
  for (const char* folder : {"exif", "raw", "tiff_layouts"}) {
    for (const auto& entry :
         fs::recursive_directory_iterator(fs::path(BASEFOG_TEST_DATA) / folder)) {
      if (!entry.is_regular_file()) continue;
      MeasureOptions options;
      const std::string here = scan_record_text(measure_scan(entry.path(), options));
      options.read.apart = processes;
      EXPECT_EQ(scan_record_text(measure_scan(entry.path(), options)), here) << entry.path();
      ++files;
    }
  }
  EXPECT_GT(files, 10);
}

TEST_F(ReadingApart, a_scan_with_its_light_and_its_blocks_is_the_same) {
  const fs::path file = kRoll / "roll03_01.tif";
  scan::ReadOptions options;
  options.light = kRoll / "roll03_00.tif";
  const scan::Scan here = density::read_scan(file, options);
  options.apart = start_reading_apart();
  const scan::Scan there = density::read_scan(file, options);
  EXPECT_EQ(there.path, file);
  EXPECT_EQ(there.blocks.mean, here.blocks.mean);
  EXPECT_EQ(there.blocks.variance, here.blocks.variance);
  EXPECT_EQ(there.darkest, here.darkest);
  EXPECT_EQ(there.flags, here.flags);
}

TEST_F(ReadingApart, a_file_that_is_no_scan_is_refused_in_the_same_words) {
  MeasureOptions options;
  const fs::path file = kRoll / "log.csv";
  const auto here = measure_scan(file, options).failure;
  options.read.apart = start_reading_apart();
  EXPECT_EQ(measure_scan(file, options).failure, here);
  EXPECT_EQ(scanner_name(file, options.read.apart), "");
  try {
    density::read_scan("/nowhere/a.tif", options.read);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::not_found);
    EXPECT_EQ(error.path(), "/nowhere/a.tif");
  }
}

TEST_F(ReadingApart, a_scan_that_kills_its_decoder_costs_that_scan_alone) {
  const auto processes = apart::Processes::start(break_over_02);
  const std::vector<fs::path> scans = {kRoll / "roll03_01.tif", kRoll / "roll03_02.tif",
                                       kRoll / "roll03_03.tif"};
  const roll::Analysis analysis = roll::review(scans, options_with(processes));
  ASSERT_EQ(analysis.frames.size(), 3);
  EXPECT_EQ(analysis.frames[0].state, FrameState::measured);
  EXPECT_EQ(analysis.frames[1].state, FrameState::unreadable);
  EXPECT_EQ(analysis.frames[2].state, FrameState::measured);
  MeasureOptions options;
  options.read.apart = processes;
  const auto failure = measure_scan(scans[1], options).failure;
  ASSERT_TRUE(failure);
  EXPECT_EQ(failure->file, scans[1]);
  EXPECT_THAT(failure->text, HasSubstr("ended the process that read it, which crashed"));
  EXPECT_THROW(density::read_scan(scans[1], options.read), InputError);
}

TEST_F(ReadingApart, an_answer_that_is_no_record_is_not_believed) {
  for (const std::string& lie :
       {std::string(), std::string(1, '\0'), std::string(1, '\1'),
        std::string("\0basefog kept scan\n", 19), std::string(5000, '\x7f')}) {
    MeasureOptions options;
    options.read.apart = apart::Processes::start(
        [&lie](std::string_view, const apart::Answer& answer) { answer(lie); });
    EXPECT_TRUE(measure_scan(kRoll / "roll03_01.tif", options).failure) << lie.size();
    EXPECT_THROW(density::read_scan(kRoll / "roll03_01.tif", options.read), InputError);
    const std::vector<area::FrameRegion> one = {{100, 100, 50, 50, 0}};
    EXPECT_THROW(read_pictures(kRoll / "roll03_01.tif", options, one, 100, [](auto, auto) {}),
                 InputError);
  }
}

}  // namespace
}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/scan_record.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

#include "basefog/core/error.hpp"
#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "basefog/roll/analysis.hpp"
#include "test_folder.hpp"

namespace basefog::density {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

const fs::path kRoll = fs::path(BASEFOG_SAMPLES) / "roll";

fs::path written(const ScanRecord& record, const std::string& name) {
  const fs::path path = test::test_folder() / name;
  std::ofstream(path, std::ios::binary) << scan_record_text(record);
  return path;
}

std::string as_json(const roll::Analysis& analysis) {
  std::ostringstream out;
  report::write_json(out, analysis);
  return out.str();
}

std::string as_html(const roll::Analysis& analysis) {
  std::ostringstream out;
  page::write_html(out, analysis);
  return out.str();
}

TEST(ScanRecord, a_review_from_records_is_the_review_of_the_scans) {
  roll::ReviewOptions options;
  options.log = kRoll / "log.csv";
  std::vector<fs::path> scans;
  const fs::path folder = test::test_folder() / "records";
  fs::create_directories(folder);
  for (const char* name : {"roll03_01.tif", "roll03_02.tif", "roll03_03.tif", "roll03_04.tif"}) {
    scans.push_back(kRoll / name);
    written(measure_scan(kRoll / name), "records/" + std::string(name) + ".json");
  }
  const roll::Analysis direct = roll::review(scans, options);
  const roll::Analysis merged = roll::review_records(read_scan_records({folder}), options);
  EXPECT_EQ(as_json(direct), as_json(merged));
  EXPECT_EQ(as_html(direct), as_html(merged));
}

TEST(ScanRecord, what_cannot_be_read_is_kept_with_its_reason) {
  const fs::path scan = test::test_folder() / "caf\xe9.tif";  // Latin-1, no UTF-8
  std::ofstream(scan) << "no scan";
  const ScanRecord record = measure_scan(scan);
  ASSERT_TRUE(record.failure);
  const ScanRecord back = read_scan_record(written(record, "record.json"));
  EXPECT_EQ(back.file, scan);
  ASSERT_TRUE(back.failure);
  EXPECT_EQ(back.failure->text, record.failure->text);
  EXPECT_EQ(back.failure->flag, Flag::unreadable_file);
  EXPECT_EQ(back.failure->file, scan);
}

TEST(ScanRecord, the_source_of_a_response_is_kept_and_words_of_earlier_versions_are_read) {
  using response::SourceKind;
  ScanRecord record = measure_scan(kRoll / "roll03_01.tif");
  ASSERT_EQ(record.frames.size(), 1u);
  response::ResponseSource& source = record.frames.front().response.source;
  source = {SourceKind::assumed_jpeg, "", "", response::ProfileFault::other_space, "CMYK"};
  const fs::path file = written(record, "source.json");
  const auto back = read_scan_record(file).frames.front().response.source;
  EXPECT_EQ(back.kind, source.kind);
  EXPECT_EQ(back.profile_fault, source.profile_fault);
  EXPECT_EQ(back.profile_space, source.profile_space);

  std::string text = scan_record_text(record);
  const std::size_t from = text.find("\"source\":") + 9;
  text.replace(from, text.find('}', from) + 1 - from, "\"raw sensor values\"");
  std::ofstream(file, std::ios::binary) << text;
  const auto earlier = read_scan_record(file).frames.front().response.source;
  EXPECT_EQ(earlier.kind, SourceKind::recorded);
  EXPECT_EQ(earlier.name, "raw sensor values");
}

TEST(ScanRecord, what_is_no_record_is_refused_by_name) {
  const std::string whole = scan_record_text(measure_scan(kRoll / "roll03_01.tif"));
  const auto refused = [](const std::string& text) {
    const fs::path path = test::test_folder() / "broken.json";
    std::ofstream(path, std::ios::binary) << text;
    try {
      read_scan_record(path);
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed);
      return std::string(error.what());
    }
    return std::string("not refused");
  };
  const auto changed = [&](const std::string& from, const std::string& to) {
    std::string text = whole;
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
  };
  EXPECT_THAT(refused(""), HasSubstr("broken.json"));
  EXPECT_THAT(refused("[1, 2]"), HasSubstr("no record of a scan"));
  EXPECT_THAT(refused(whole.substr(0, whole.size() / 2)), HasSubstr("no whole record"));
  EXPECT_THAT(refused(changed("basefog.scan/1", "basefog.scan/9")), HasSubstr("no record"));
  EXPECT_THAT(refused(changed("\"state\":\"measured\"", "\"state\":\"odd\"")), HasSubstr("odd"));
  EXPECT_THAT(refused(changed("\"count\":", "\"count\":9")), HasSubstr("unpacked"));
  EXPECT_THAT(refused(changed("\"index\":0", "\"index\":\"x\"")), HasSubstr("no whole record"));
  EXPECT_THAT(refused(changed("\"index\":0", "\"index\":1e300")), HasSubstr("no whole record"));
  EXPECT_THAT(refused(changed("\"index\":0", "\"index\":4294967296")),
              HasSubstr("no whole record"));
  EXPECT_THROW(read_scan_record("/nonexistent/record.json"), InputError);
  EXPECT_THROW(read_scan_records({}), InputError);
}

TEST(ScanRecord, sizes_that_are_not_so_are_refused) {
  const ScanRecord whole = measure_scan(kRoll / "roll03_01.tif");
  ASSERT_EQ(whole.frames.size(), 1u);
  const auto refused = [&](auto change) {
    ScanRecord record = whole;
    change(record.frames.front());
    EXPECT_THROW(read_scan_record(written(record, "sizes.json")), InputError);
  };
  EXPECT_NO_THROW(read_scan_record(written(whole, "sizes.json")));
  refused([](FrameMeasurement& frame) {
    frame.rebate.density.clear();
    frame.rebate.sigma.clear();
  });
  refused([](FrameMeasurement& frame) { frame.negative.channels = 7; });
  refused([](FrameMeasurement& frame) {
    frame.overview = {.width = 2, .height = 1, .channels = 3, .millidensity = {1, 2, 3, 4, 5, 6}};
  });
  refused([](FrameMeasurement& frame) {  // of which the product is 0 in 64 bits
    frame.negative = {.width = 1 << 20, .height = 1 << 20, .channels = 1 << 24, .millidensity = {}};
  });
}

TEST(ScanRecord, numbers_that_nothing_measures_are_refused) {
  const ScanRecord whole = measure_scan(kRoll / "roll03_01.tif");
  const double infinite = std::numeric_limits<double>::infinity();
  int number = 0;
  const auto refused = [&](auto change) {
    ScanRecord record = whole;
    change(record.frames.front());
    ++number;
    try {
      read_scan_record(written(record, "numbers.json"));
      ADD_FAILURE() << "change " << number << " was taken";
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed) << number;
      EXPECT_THAT(error.what(), HasSubstr("numbers.json")) << number;
    }
  };
  ASSERT_FALSE(whole.frames.front().rebate.sigma.empty());
  refused([](FrameMeasurement& f) {
    f.apertures.density[3] = -std::numeric_limits<float>::infinity();
  });
  refused([](FrameMeasurement& f) { f.apertures.density[3] = std::nanf(""); });
  refused([](FrameMeasurement& f) { f.apertures.sigma[3] = -0.01F; });
  refused(
      [](FrameMeasurement& f) { f.apertures.sigma[3] = std::numeric_limits<float>::infinity(); });
  refused([&](FrameMeasurement& f) { f.rebate.density[0] = Density::from_value(infinite); });
  refused([&](FrameMeasurement& f) { f.rebate.sigma[0] = DensityDifference(infinite); });
  refused([](FrameMeasurement& f) { f.rebate.sigma[0] = DensityDifference(-0.01); });
  refused([](FrameMeasurement& f) { f.response.relative_sigma = -0.1; });
  refused([&](FrameMeasurement& f) { f.response.relative_sigma = infinite; });
  refused([](FrameMeasurement& f) { f.response.gamma = 0; });
  refused([](FrameMeasurement& f) { f.region.width = -1; });
  refused([&](FrameMeasurement& f) { f.region.centre_x = infinite; });
  refused([](FrameMeasurement& f) { f.index = -1; });
  refused([](FrameMeasurement& f) { f.scan_width = 0; });
  refused([](FrameMeasurement& f) { f.metadata.shutter_seconds = -1; });
  refused([&](FrameMeasurement& f) { f.metadata.f_number = infinite; });
}

// Records leave out a response's curves.
TEST(ScanRecord, a_base_in_codes_is_refused_where_no_curve_tells_their_light) {
  ScanRecord record = measure_scan(kRoll / "roll03_01.tif");
  record.frames.front().response.kind = response::ResponseKind::icc;
  record.frames.front().response.curves = nullptr;
  roll::ReviewOptions options;
  options.base = parse_base("40000");
  EXPECT_THROW(roll::review_records({record}, options), InputError);
  options.base = parse_base("0.5");
  EXPECT_NO_THROW(roll::review_records({record}, options));
}

}  // namespace
}  // namespace basefog::density

// SPDX-License-Identifier: GPL-3.0-or-later
// Each reader of text refuses what is larger than any such file, with the limit in its words.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <functional>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/density/scan_record.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/film/film_test.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/log/log.hpp"
#include "basefog/matching/matching.hpp"
#include "basefog/response/response.hpp"
#include "basefog/tablet/scanner_calibration.hpp"
#include "test_folder.hpp"

namespace basefog::roll {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

std::string refusal_of(const std::function<void()>& read) {
  try {
    read();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

fs::path written(const std::string& name, const std::string& text) {
  const fs::path path = test::test_folder() / name;
  std::ofstream(path, std::ios::binary) << text;
  return path;
}

struct Reader {
  const char* name;
  std::size_t most_bytes;
  void (*read)(const fs::path& path);
};

void PrintTo(const Reader& reader, std::ostream* out) { *out << reader.name; }

class FileLimits : public testing::TestWithParam<Reader> {};

TEST_P(FileLimits, a_larger_file_is_refused_by_its_size) {
  const Reader& reader = GetParam();
  const fs::path path = written(reader.name, "");
  fs::resize_file(path, reader.most_bytes + 1);
  const std::string limit = std::to_string(reader.most_bytes / limits::kMebibyte);
  EXPECT_THAT(refusal_of([&] { reader.read(path); }),
              HasSubstr("is larger than " + limit + " MiB"));
  fs::remove(path);
}

INSTANTIATE_TEST_SUITE_P(
    Readers, FileLimits,
    testing::Values(Reader{"log", limits::kMostLogBytes,
                           [](const fs::path& path) { log::read_shot_log(path); }},
                    Reader{"pairs", limits::kMostLogBytes,
                           [](const fs::path& path) { matching::read_match_file(path); }},
                    Reader{"camera", limits::kMostSettingsBytes,
                           [](const fs::path& path) { log::read_camera(path); }},
                    Reader{"film", limits::kMostSettingsBytes,
                           [](const fs::path& path) { film::read_film_profile(path); }},
                    Reader{"response", limits::kMostSettingsBytes,
                           [](const fs::path& path) { response::parse_response(path.string()); }},
                    Reader{"steps", limits::kMostSettingsBytes,
                           [](const fs::path& path) { tablet::read_step_densities(path); }},
                    Reader{"codes", limits::kMostSettingsBytes,
                           [](const fs::path& path) { tablet::read_patch_codes(path, 65535); }},
                    Reader{"patches", limits::kMostSettingsBytes,
                           [](const fs::path& path) { tablet::read_patch_regions(path); }},
                    Reader{"densities", limits::kMostSettingsBytes,
                           [](const fs::path& path) {
                             film::read_densitometer_table(path, FilmKind::black_and_white, false);
                           }},
                    Reader{"record", limits::kMostRecordBytes,
                           [](const fs::path& path) { density::read_scan_record(path); }}),
    [](const auto& reader) { return std::string(reader.param.name); });

TEST(RowLimit, a_log_of_more_rows_than_any_roll_is_refused_and_one_less_is_read) {
  std::string text = "frame,shutter,aperture\n";
  for (std::size_t row = 1; row <= limits::kMostLogRows; ++row) {
    text += std::to_string(row) + ",1/125,8\n";
  }
  EXPECT_EQ(log::parse_shot_log(text, "long.csv").rows.size(), limits::kMostLogRows);
  EXPECT_THAT(refusal_of([&] { log::parse_shot_log(text + "next,1/125,8\n", "long.csv"); }),
              HasSubstr("more than 10000 rows"));
}

TEST(RowLimit, a_table_of_more_rows_than_steps_is_refused) {
  std::string text = "log H,density\n";
  std::string steps;
  for (std::size_t row = 0; row <= limits::kMostTableRows; ++row) {
    text += "0." + std::to_string(row) + ",0.5\n";
    steps += std::to_string(row) + ",0." + std::to_string(100000 + row) + "\n";
  }
  const auto read = [&] {
    film::read_densitometer_table(written("rows.csv", text), FilmKind::black_and_white, false);
  };
  EXPECT_THAT(refusal_of(read), HasSubstr("more than 1000 rows"));
  EXPECT_THAT(refusal_of([&] { tablet::read_step_densities(written("steps.csv", steps)); }),
              HasSubstr("more than 1000 lines"));
}

TEST(RecordLimit, more_numbers_than_any_scan_has_are_refused_before_one_is_unpacked) {
  const fs::path scan = fs::path(BASEFOG_SAMPLES) / "roll" / "roll03_01.tif";
  const std::string whole = density::scan_record_text(density::measure_scan(scan));
  const std::string count = "\"count\":";
  const std::size_t at = whole.find(count);
  ASSERT_NE(at, std::string::npos);
  const auto claiming = [&](std::size_t numbers) {
    const std::size_t end = whole.find_first_of(",}", at);
    const fs::path path = written(
        "record.json", whole.substr(0, at) + count + std::to_string(numbers) + whole.substr(end));
    return refusal_of([&] { density::read_scan_record(path); });
  };
  EXPECT_THAT(claiming(limits::kMostRecordNumbers + 1),
              HasSubstr("over the limit of 100 million numbers"));
  EXPECT_THAT(claiming(limits::kMostRecordNumbers), HasSubstr("over the limit"))
      << "with the other arrays' numbers";
  EXPECT_THAT(claiming(limits::kMostRecordNumbers / 100), HasSubstr("cannot be unpacked"));
  EXPECT_THAT(claiming(std::size_t{1} << 62), HasSubstr("over the limit"));
  // What looks like an array hides none of those within it.
  const fs::path nested = written(
      "record.json", R"({"schema":"basefog.scan/1","count":0,"deflated":"","frames":[{"apertures":)"
                     R"({"density":{"count":100000001,"deflated":""}}}]})");
  EXPECT_THAT(refusal_of([&] { density::read_scan_record(nested); }), HasSubstr("over the limit"));
}

}  // namespace
}  // namespace basefog::roll

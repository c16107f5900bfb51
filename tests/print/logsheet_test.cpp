// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/logsheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <iterator>
#include <regex>
#include <sstream>
#include <utility>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/log/log.hpp"
#include "basefog/report/log_wording.hpp"

namespace basefog::print {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::SizeIs;
using ::testing::StartsWith;

std::string csv(const log::Camera& camera, const LogsheetOptions& options) {
  std::ostringstream out;
  write_logsheet_csv(out, camera, options);
  return out.str();
}

std::string svg(const log::Camera& camera, const LogsheetOptions& options, int page = 1) {
  std::ostringstream out;
  write_logsheet_svg(out, camera, options, page);
  return out.str();
}

std::string pdf(const log::Camera& camera, const LogsheetOptions& options) {
  std::ostringstream out;
  write_logsheet_pdf(out, camera, options);
  return out.str();
}

log::Camera awkward_camera() {
  log::Camera camera = log::default_camera();
  camera.name = "black, \"old\" <one> & =1+1";
  camera.lenses.push_back({"50 <mm> & more", 50, 50, log::standard_stops(log::MarkSteps::full)});
  return camera;
}

/// Rows of a page whose frames are numbered from 301.
std::ptrdiff_t frames_of(const std::string& page) {
  const std::regex number("\n3[0-9][0-9](?=\n)");
  return std::distance(std::sregex_iterator(page.begin(), page.end(), number), {});
}

/// Every element that is opened is closed, in order.
bool is_balanced(const std::string& markup) {
  std::vector<std::string> open;
  const std::regex tag("<(/?)([a-z]+)[^<>]*?(/?)>");
  for (std::sregex_iterator it(markup.begin(), markup.end(), tag), end; it != end; ++it) {
    if ((*it)[3].length() > 0) continue;
    if ((*it)[1].length() == 0) {
      open.push_back((*it)[2]);
    } else if (open.empty() || open.back() != (*it)[2]) {
      return false;
    } else {
      open.pop_back();
    }
  }
  return open.empty();
}

TEST(LogsheetCsv, comes_back_filled_in) {
  LogsheetOptions options;
  options.frames = 3;
  options.roll = "7, second half";
  options.film = "slow one";
  options.film_speed = FilmSpeed(125);
  options.ei = FilmSpeed(100);
  std::string sheet = csv(awkward_camera(), options);
  EXPECT_THROW(log::parse_shot_log(sheet, "sheet.csv"), InputError);  // nothing is filled in yet
  const std::string blank = "2,,,,,,,,,,\r\n";
  ASSERT_THAT(sheet, HasSubstr(blank));
  sheet.replace(sheet.find(blank), blank.size(),
                "2,1/125,8,1/60,,+1,M,50 mm,ND2,\"gate, snow\",tripod\r\n");
  const log::ShotLog log = log::parse_shot_log(sheet, "sheet.csv");
<<<<<<< HEAD
  EXPECT_TRUE(log.remarks.empty()) << report::remark_text(log.remarks.front());
||||||| a688c1f
  EXPECT_TRUE(log.remarks.empty()) << log.remarks.front().text;
=======
  EXPECT_TRUE(log.remarks.empty()) << log.remarks.front().value;
>>>>>>> factsroll
  EXPECT_EQ(log.roll, "7, second half");
  EXPECT_EQ(log.film, "slow one");
  EXPECT_EQ(log.film_speed, FilmSpeed(125));
  EXPECT_EQ(log.camera, "black, \"old\" <one> & =1+1");
  ASSERT_THAT(log.rows, SizeIs(2));  // the first stays as a gap, the last was never written
  const log::LogRow& row = log.rows[1];
  EXPECT_EQ(row.frame, "2");
  EXPECT_EQ(row.ei, FilmSpeed(100));
  EXPECT_EQ(row.used.shutter, ShutterTime(1.0 / 60));
  EXPECT_EQ(row.used.aperture, FNumber(8));
  EXPECT_EQ(row.scene, "gate, snow");
  EXPECT_EQ(row.mode, log::ExposureMode::manual);
}

TEST(LogsheetSvg, has_a_row_for_each_frame_and_the_cameras_marks) {
  LogsheetOptions options;
  options.frames = 12;
  options.first_frame = 301;
  const std::string page = svg(awkward_camera(), options);
  EXPECT_TRUE(is_balanced(page));
  EXPECT_EQ(frames_of(page), 12);
  EXPECT_THAT(page, HasSubstr("\n312\n"));
  EXPECT_THAT(page, HasSubstr("\n1/1000\n"));
  EXPECT_THAT(page, HasSubstr("\nmetered\n"));
  EXPECT_THAT(page, HasSubstr("\nused\n"));
  EXPECT_THAT(page, HasSubstr("<title>Log to fill in</title>"));
  EXPECT_THAT(page, HasSubstr("&lt;one&gt;"));
  EXPECT_THAT(page, Not(HasSubstr("<one>")));
}

TEST(LogsheetSvg, says_how_long_to_hold_by_hand_and_shows_the_lenses_stops) {
  // Slower than 1/60 wants a tripod (common practice), where nothing else is known.
  EXPECT_THAT(svg(log::default_camera(), {}), HasSubstr("\n1/60\n"));
  log::Camera camera = log::parse_camera(
      "hand_hold_limit = \"1/20\"\nshutter = \"half\"\n[[lens]]\nfocal_length = 50\nwidest = 1.7\n"
      "narrowest = 16\nstops = \"half\"",
      "camera.toml");
  const std::string page = svg(camera, {});
  EXPECT_THAT(page, HasSubstr("\ndown to\n"));
  EXPECT_THAT(page, HasSubstr("\n1/20\n"));
  EXPECT_THAT(page, HasSubstr("\n1/3\n"));
  EXPECT_THAT(page, HasSubstr("\n6.7\n"));
  EXPECT_THAT(page, Not(HasSubstr("\n1.4\n")));
  EXPECT_THAT(csv(camera, {}), HasSubstr("f/6.7"));
}

TEST(LogsheetSvg, shares_long_rolls_over_pages) {
  LogsheetOptions options;
  options.frames = 72;
  options.first_frame = 301;
  ASSERT_EQ(logsheet_pages(options), 2);
  EXPECT_EQ(frames_of(svg(log::default_camera(), options, 1)), 36);
  EXPECT_THAT(svg(log::default_camera(), options, 2), HasSubstr("\n372\n"));
  EXPECT_THAT(svg(log::default_camera(), options, 2), HasSubstr("\npage 2 of 2\n"));
  EXPECT_THROW(svg(log::default_camera(), options, 3), InputError);
  options.frames = 0;
  EXPECT_THROW(svg(log::default_camera(), options), InputError);
  EXPECT_THROW(csv(log::default_camera(), options), InputError);
}

TEST(Logsheet, is_the_same_to_the_byte_each_time) {
  const log::Camera camera = awkward_camera();
  EXPECT_EQ(svg(camera, {}), svg(camera, {}));
  EXPECT_EQ(pdf(camera, {}), pdf(camera, {}));
}

TEST(LogsheetPdf, holds_all_pages) {
  const std::regex page("/Type /Page\\b(?!s)");
  for (const auto& [frames, pages] : {std::pair(36, 1), std::pair(72, 2), std::pair(400, 10)}) {
    LogsheetOptions options;
    options.frames = frames;
    const std::string file = pdf(log::default_camera(), options);
    EXPECT_THAT(file, StartsWith("%PDF"));
    EXPECT_EQ(std::distance(std::sregex_iterator(file.begin(), file.end(), page), {}), pages);
  }
  EXPECT_THROW(pdf(log::default_camera(), {.frames = 0}), InputError);
}

TEST(LogsheetSvg, keeps_everything_on_the_page) {
  log::Camera camera = log::default_camera();
  camera.shutter = log::standard_times(log::MarkSteps::third);
  camera.stops = log::standard_stops(log::MarkSteps::third);
  camera.lenses.assign(40, {"a lens with a very long name indeed", 50, 50, camera.stops});
  for (const int frames : {1, 8, 36, 40, 41, 400}) {
    LogsheetOptions options;
    options.frames = frames;
    const std::string page = svg(camera, options);
    constexpr double kPointsPerMillimetre = 72 / 25.4;
    const std::regex letter("<use [^>]* x=\"([0-9.]+)\" y=\"([0-9.]+)\"");
    int letters = 0;
    for (std::sregex_iterator it(page.begin(), page.end(), letter), end; it != end; ++it) {
      EXPECT_LE(std::stod((*it)[1]), 207 * kPointsPerMillimetre) << frames;
      EXPECT_LE(std::stod((*it)[2]), 292 * kPointsPerMillimetre) << frames;
      ++letters;
    }
    EXPECT_GT(letters, 100);
  }
}

}  // namespace
}  // namespace basefog::print

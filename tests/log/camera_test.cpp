// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/camera.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <utility>

#include "basefog/core/error.hpp"

namespace basefog::log {
namespace {

using ::testing::DoubleNear;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr std::string_view kFile = R"(
name = "the black one"
shutter = ["1", "1/2", "1/4", "1/8", "1/15", "1/30", "1/60", "1/125", "1/250", "1/500", "B"]
film_speeds = [25, 50, 100, 200, 400]
compensation_most = 3
compensation_steps = "half"
hand_hold_limit = "1/30"

[meter]
kind = "hand_held_reflected"
pattern = "spot"

[battery]
kind = "silver oxide"
fitted = 2026-03-01

[[lens]]
name = "normal"
focal_length = 50
widest = 1.8
narrowest = 16
stops = "half"

[[lens]]
focal_length = [28, 80]
widest = 3.5
narrowest = 22
)";

std::string error_of(std::string_view text) {
  try {
    parse_camera(text, "camera.toml");
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::malformed);
    return error.what();
  }
  return "";
}

std::vector<double> values(const std::vector<FNumber>& stops) {
  std::vector<double> numbers;
  for (const FNumber stop : stops) numbers.push_back(stop.value());
  return numbers;
}

TEST(Camera, reads_its_file) {
  const Camera camera = parse_camera(kFile, "camera.toml");
  EXPECT_EQ(camera.name, "the black one");
  EXPECT_THAT(camera.shutter, SizeIs(10));
  EXPECT_EQ(camera.shutter.front(), ShutterTime(1));
  EXPECT_EQ(camera.shutter.back(), ShutterTime(1.0 / 500));
  EXPECT_TRUE(camera.bulb);
  EXPECT_THAT(camera.film_speeds, SizeIs(5));
  EXPECT_EQ(camera.compensation_most, Stops(3));
  EXPECT_EQ(camera.compensation_step, Stops(0.5));
  EXPECT_EQ(camera.meter, MeterKind::hand_held_reflected);
  EXPECT_EQ(camera.pattern, MeteringPattern::spot);
  EXPECT_EQ(camera.battery, "silver oxide");
  EXPECT_EQ(camera.battery_fitted, "2026-03-01");
  ASSERT_THAT(camera.lenses, SizeIs(2));
  EXPECT_THAT(values(camera.lenses[0].stops),
              ElementsAre(1.8, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16));
  EXPECT_EQ(camera.lenses[1].name, "28-80 mm");
  EXPECT_TRUE(camera.lenses[1].is_zoom());
}

TEST(Camera, is_a_plain_one_where_the_file_says_nothing) {
  const Camera camera = parse_camera("", "old-camera.toml");
  EXPECT_EQ(camera.name, "old-camera");
  EXPECT_THAT(camera.shutter, SizeIs(11));
  EXPECT_THAT(values(camera.stops), ElementsAre(1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22));
  EXPECT_EQ(camera.meter, MeterKind::through_lens);
}

TEST(Camera, names_what_is_wrong_and_where) {
  EXPECT_THAT(error_of("shutter = 60"), HasSubstr("\"shutter\" (line 1)"));
  EXPECT_THAT(error_of("\nshutter = [\"sixty\"]"), HasSubstr("(line 2) is not a time"));
  EXPECT_THAT(error_of("shuter = \"full\""), HasSubstr("\"shuter\" (line 1) is not a key"));
  EXPECT_THAT(error_of("[meter]\nkin = 1"), HasSubstr("here they are kind and pattern"));
  EXPECT_THAT(error_of("shutter = []"), HasSubstr("no marked time"));
  EXPECT_THAT(error_of("name = 3"), HasSubstr("text in quotes"));
  EXPECT_THAT(error_of("name = "), HasSubstr("not TOML: line 1"));
  EXPECT_THAT(error_of("[meter]\nkind = \"good\""), HasSubstr("\"meter.kind\" (line 2)"));
  EXPECT_THAT(error_of("[battery]\nfitted = \"spring\""), HasSubstr("2026-05-12"));
  EXPECT_THAT(error_of("[[lens]]\nwidest = 2"), HasSubstr("focal_length\" is missing"));
  EXPECT_THAT(error_of("[[lens]]\nfocal_length = [80, 28]"), HasSubstr("longer end first"));
  EXPECT_THAT(error_of("lens = 50"), HasSubstr("[[lens]]"));
  EXPECT_THAT(error_of("widest = 22\nnarrowest = 2"), HasSubstr("wider than the widest"));
  EXPECT_THAT(error_of("film_speeds = [0]"), HasSubstr("between 0.5 and 204800"));
  EXPECT_THROW(read_camera("no-such-camera.toml"), InputError);
}

TEST(Marks, are_those_that_cameras_are_engraved_with) {  // [Kamerarkasi]
  EXPECT_THAT(values(standard_stops(MarkSteps::half, FNumber(1), FNumber(22))),
              ElementsAre(1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16,
                          19, 22));
  EXPECT_THAT(values(standard_stops(MarkSteps::third, FNumber(1), FNumber(22))),
              ElementsAre(1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6,
                          6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22));
}

// Each mark stands for the next member of the exact series, from which its rounding keeps it by no
// more than `rounding`.
void expect_even_steps(const std::vector<double>& stops, double step, double rounding) {
  const double first = std::round(stops.front() / step) * step;
  const double direction = stops.back() > stops.front() ? step : -step;
  for (std::size_t i = 0; i < stops.size(); ++i) {
    EXPECT_NEAR(stops[i], first + direction * static_cast<double>(i), rounding) << i;
  }
}

TEST(Marks, lie_one_step_apart) {
  for (const auto& [steps, step] :
       {std::pair{MarkSteps::full, 1.0}, {MarkSteps::half, 0.5}, {MarkSteps::third, 1.0 / 3}}) {
    std::vector<double> times;
    for (const ShutterTime t : standard_times(steps)) times.push_back(t.time_value());
    // Cameras show 1/20 and 1/10 in half stops too, 0.18 off 1/22.6 and 1/11.3.
    expect_even_steps(times, step, steps == MarkSteps::half ? 0.18 : 0.1);
    std::vector<double> apertures;
    for (const FNumber n : standard_stops(steps)) apertures.push_back(n.aperture_value());
    expect_even_steps(apertures, step, 0.15);
  }
  std::vector<double> speeds;
  for (const FilmSpeed s : standard_film_speeds()) speeds.push_back(s.speed_value());
  expect_even_steps(speeds, 1.0 / 3, 0.1);
  EXPECT_THAT(standard_times(MarkSteps::full), SizeIs(19));
}

std::vector<double> time_values(std::string_view text, const Camera* camera) {
  ShotLog log = parse_shot_log(text, "log.csv");
  if (camera != nullptr) check_against_camera(log, *camera);
  std::vector<double> values;
  for (const LogRow& row : log.rows) values.push_back(exact(*row.used.shutter).time_value());
  return values;
}

TEST(Marks, of_half_stops_and_of_thirds_are_told_apart_by_the_camera_or_by_the_rest_of_the_log) {
  constexpr std::string_view kLog = "frame,shutter,aperture\n1,1/10,13\n2,1/20,8\n";
  EXPECT_THAT(time_values(kLog, nullptr),
              ElementsAre(DoubleNear(10 / 3.0, 1e-9), DoubleNear(13 / 3.0, 1e-9)));
  const Camera halves = parse_camera("shutter = \"half\"\nstops = \"half\"", "camera.toml");
  EXPECT_THAT(time_values(kLog, &halves),
              ElementsAre(DoubleNear(3.5, 1e-9), DoubleNear(4.5, 1e-9)));
  // 1/45 is on no dial of third stops.
  EXPECT_THAT(time_values("frame,shutter,aperture\n1,1/10,8\n2,1/45,8\n", nullptr),
              ElementsAre(DoubleNear(3.5, 1e-9), DoubleNear(5.5, 1e-9)));
  EXPECT_THAT(time_values("frame,shutter,aperture\n1,1/10,8\n2,1/50,8\n", nullptr),
              ElementsAre(DoubleNear(10 / 3.0, 1e-9), DoubleNear(17 / 3.0, 1e-9)));
}

TEST(Marks, of_half_stop_dials_stand_for_half_stops) {
  for (const ShutterTime t : standard_times(MarkSteps::half)) {
    const double halves = 2 * exact(t, MarkSteps::half).time_value();
    EXPECT_NEAR(halves, std::round(halves), 1e-9) << as_marked(t);
    EXPECT_NEAR(halves / 2, t.time_value(), 0.18) << as_marked(t);
    EXPECT_EQ(as_marked(exact(ShutterTime(1.0 / 10), MarkSteps::half)), "1/10");
  }
  for (const FNumber n : standard_stops(MarkSteps::half)) {
    const double halves = 2 * exact(n, MarkSteps::half).aperture_value();
    EXPECT_NEAR(halves, std::round(halves), 1e-9) << as_marked(n);
  }
}

TEST(HandHold, is_the_photographers_or_one_over_the_focal_length) {
  Camera camera = default_camera();
  EXPECT_EQ(hand_hold_limit(camera, 200), ShutterTime(1.0 / 200));
  EXPECT_EQ(hand_hold_limit(camera, std::nullopt), ShutterTime(1.0 / 60));
  camera.steady = ShutterTime(1.0 / 15);
  EXPECT_EQ(hand_hold_limit(camera, 200), ShutterTime(1.0 / 15));
}

TEST(LensOf, goes_by_name_then_by_focal_length) {
  const Camera camera = parse_camera(kFile, "camera.toml");
  LogRow row;
  EXPECT_EQ(lens_of(camera, row), nullptr);
  row.lens = "Normal";
  EXPECT_EQ(lens_of(camera, row), &camera.lenses[0]);
  row.lens = "35 mm";
  row.focal_length_mm = 35;
  EXPECT_EQ(lens_of(camera, row), &camera.lenses[1]);
  row.focal_length_mm = 50;  // both have it
  EXPECT_EQ(lens_of(camera, row), nullptr);
}

TEST(CheckAgainstCamera, remarks_on_what_the_camera_cannot_do) {
  const Camera camera = parse_camera(kFile, "camera.toml");
  ShotLog log = parse_shot_log(
      "frame,shutter,aperture,mode,lens,filter\n"
      "1,1/125,8,M,normal,ND8\n"
      "2,1/1000,8,M,normal,\n"
      "3,1/100,8,M,normal,\n"
      "4,1/100,8,A,normal,\n"
      "5,1/60,22,M,normal,\n"
      "6,8s,1.8,M,normal,\n",
      "log.csv");
  check_against_camera(log, camera);
  EXPECT_FALSE(log.rows[0].meter_behind_filter);  // the meter is hand-held
  std::vector<int> lines;
  for (const LogRemark& remark : log.remarks) lines.push_back(remark.line);
  EXPECT_THAT(lines, ElementsAre(3, 4, 6));
  EXPECT_EQ(log.remarks[0].doubts, Doubts{Doubt::beyond_shutter});
  EXPECT_EQ(log.remarks[1].doubts, Doubts{Doubt::not_on_dial});
  EXPECT_EQ(log.remarks[2].doubts, Doubts{Doubted(Doubt::beyond_lens, {"normal"})});
  EXPECT_TRUE(log.rows[1].doubtful);
  EXPECT_FALSE(log.rows[0].doubtful);
}

}  // namespace
}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/evidence/exposure_series.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/photo.hpp>
#include <random>

#include "evidence/same_view.hpp"
#include "simulator/film.hpp"

namespace basefog::evidence {
namespace {

constexpr int kWidth = 360;
constexpr int kHeight = 240;
constexpr int kRoom = 40;  ///< pixels around the frame, for the hand's shift

/// log2 of the luminance of an invented view against its mean: patches and clouds of all sizes over
/// about eight stops, as an ordinary scene has.
cv::Mat view(std::mt19937_64& random) {
  cv::Mat sum = cv::Mat::zeros(kHeight + 2 * kRoom, kWidth + 2 * kRoom, CV_32F);
  std::normal_distribution<float> normal;
  for (int cells = 2; cells <= 64; cells *= 2) {
    cv::Mat coarse(std::max(2, cells * 2 / 3), cells, CV_32F);
    for (auto it = coarse.begin<float>(); it != coarse.end<float>(); ++it) *it = normal(random);
    cv::Mat fine;
    cv::resize(coarse, fine, sum.size(), 0, 0, cells < 16 ? cv::INTER_LINEAR : cv::INTER_NEAREST);
    sum += fine * (2.2 / std::sqrt(cells));
  }
  sum -= cv::mean(sum)[0];
  return sum;
}

struct Taking {
  double stops = 0;       ///< against the aim
  double error = 0;       ///< of this exposure, stops
  cv::Point shift{0, 0};  ///< of the hand, pixels
};

struct Frame {
  density::FrameMeasurement measurement;
  density::FilmBase base;
};

/// Photographs the middle of a view and scans it.
Frame photograph(const cv::Mat& luminance, const Taking& taking, const simulator::Film& film,
                 std::uint64_t seed) {
  const cv::Mat part =
      luminance(cv::Rect(kRoom + taking.shift.x, kRoom + taking.shift.y, kWidth, kHeight));
  cv::Mat exposure(part.size(), CV_32F);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      exposure.at<float>(y, x) = static_cast<float>(
          8.125 / film.iso * std::exp2(part.at<float>(y, x) + taking.stops + taking.error));
    }
  }
  cv::Mat density = simulator::density(exposure, film);
  constexpr double kPixel = 36.0 / kWidth;
  simulator::add_grain(density, film, 0, kPixel, seed);
  constexpr double kBase = 0.1;  // clear light against the scan's full scale
  constexpr double kFlare = 0.002;
  const double mean_light = [&] {
    double sum = 0;
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) sum += std::pow(10.0, -density.at<float>(y, x));
    }
    return sum / (kWidth * kHeight);
  }();
  Frame frame;
  density::NegativePicture& picture = frame.measurement.negative;
  picture.width = kWidth;
  picture.height = kHeight;
  picture.channels = 1;
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      const double light = std::pow(10.0, -density.at<float>(y, x)) + kFlare * mean_light;
      picture.millidensity.push_back(static_cast<std::uint16_t>(
          std::lround(std::max(0.0, 1000 * (kBase - std::log10(light))))));
    }
  }
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  constexpr double kBaseSigma = 0.002;
  frame.measurement.densest = {Density::from_value(4.0)};
  frame.base.kind = density::ReferenceKind::rebate;
  frame.base.density = {
      Density::from_value(kBase + film.base.front() + kBaseSigma * normal(random))};
  frame.base.sigma = {DensityDifference(kBaseSigma)};
  return frame;
}

/// A roll with brackets of -1, 0, +1 stops, each of a view of its own.
struct Roll {
  std::vector<Frame> frames;
  std::vector<double> logged;
  double true_factor = 1;  ///< of the generic film's average gradient

  std::vector<SeriesFrame> series_frames() const {
    std::vector<SeriesFrame> all;
    for (std::size_t i = 0; i < frames.size(); ++i) {
      all.push_back({&frames[i].measurement, &frames[i].base,
                     LoggedExposure{.settings = Stops(logged[i]), .compensation = {}},
                     std::to_string(i + 1)});
    }
    return all;
  }
};

Roll shoot(int brackets, double scatter, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> rise(0.68, 0.94);
  std::uniform_int_distribution<int> shift(-12, 12);
  // Published sheets end at 7 stops; those that go farther show no shoulder before 10.9.
  const simulator::Film film = simulator::black_and_white_film({.iso = 400,
                                                                .rise = rise(random),
                                                                .shoulder_from_stops = 10.5,
                                                                .straight_beyond_table = true});
  Roll roll;
  roll.true_factor = film.rise() / 0.80;
  for (int b = 0; b < brackets; ++b) {
    const cv::Mat luminance = view(random);
    for (double stops : {-1.0, 0.0, 1.0}) {
      const Taking taking{stops, scatter * normal(random), {shift(random), shift(random)}};
      roll.frames.push_back(photograph(luminance, taking, film, random()));
      roll.logged.push_back(stops);
    }
  }
  return roll;
}

struct Accuracy {
  double within = 0, covered = 0;
};
Accuracy accuracy(int rolls, int brackets, double scatter, double assumed, double tolerance) {
  Accuracy result;
  for (int i = 0; i < rolls; ++i) {
    const Roll roll = shoot(brackets, scatter, 100 + static_cast<std::uint64_t>(i));
    const auto found =
        contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)),
                             {.exposure_sigma_stops = assumed});
    if (!found || !found->factor.two_sided()) continue;
    if (std::abs(found->factor.value / roll.true_factor - 1) < tolerance)
      result.within += 1.0 / rolls;
    if (*found->factor.low <= roll.true_factor && roll.true_factor <= *found->factor.high) {
      result.covered += 1.0 / rolls;
    }
  }
  return result;
}

// More rolls give the same shares: of 30 single brackets 29 came within 4 %, of 14 rolls with three
// brackets all within 6 %, and every interval held the truth (run with larger counts).
TEST(ExposureSeries, one_bracket_with_exact_exposures_finds_the_contrast) {
  const Accuracy a = accuracy(12, 1, 0, 0.08, 0.04);
  EXPECT_GE(a.within, 0.9);
  EXPECT_GE(a.covered, 0.9);
}

TEST(ExposureSeries, three_brackets_find_the_contrast_where_the_camera_scatters) {
  const Accuracy a = accuracy(5, 3, 0.08, 0.08, 0.06);
  EXPECT_GE(a.within, 0.9);
  EXPECT_GE(a.covered, 0.9);
}

TEST(ExposureSeries, film_carries_what_was_found) {
  const Roll roll = shoot(2, 0, 31);
  const film::FilmProfile generic = film::generic_black_and_white(FilmSpeed(400));
  const auto found = contrast_from_series(roll.series_frames(), generic);
  ASSERT_TRUE(found);
  EXPECT_EQ(found->series.size(), 2u);
  EXPECT_EQ(found->series[0].frames, (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_NEAR(found->series[0].logged.back().value(), 2, 1e-12);
  EXPECT_EQ(found->film.contrast_source, film::ContrastSource::series);
  EXPECT_LT(found->film.contrast_relative_sigma, generic.contrast_relative_sigma);
  EXPECT_NEAR(found->film.layers[0].curve.average_gradient(),
              generic.layers[0].curve.average_gradient() * found->factor.value, 0.005);
  EXPECT_TRUE(found->series[0].used && found->series[1].used);
}

/// As found a little smaller than it is: the last rows and columns cut off.
void cut(density::NegativePicture& picture, int columns, int rows) {
  const cv::Mat1w whole(picture.height, picture.width, picture.millidensity.data());
  picture.width -= columns;
  picture.height -= rows;
  const cv::Mat1w left = whole(cv::Rect(0, 0, picture.width, picture.height)).clone();
  picture.millidensity.assign(left.begin(), left.end());
}

// Thin edges make a frame of the same camera look a pixel or some smaller, mostly the thinnest one.
TEST(ExposureSeries, frames_found_a_little_smaller_are_of_one_view) {
  Roll roll = shoot(1, 0, 31);
  cut(roll.frames[0].measurement.negative, 4, 3);
  cut(roll.frames[2].measurement.negative, 0, 1);
  const auto found =
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(found);
  ASSERT_EQ(found->series.size(), 1u);
  EXPECT_EQ(found->series[0].frames, (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_NEAR(found->factor.value / roll.true_factor, 1, 0.04);
  cut(roll.frames[1].measurement.negative, 30, 20);
  const auto other =
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(other);
  EXPECT_EQ(other->series[0].frames, (std::vector<std::size_t>{0, 2}));
}

// A lens that is darker at the corners, by a stop and a half: that stays where it is while the view
// moves, and must not hold the registration.
TEST(ExposureSeries, fall_off_does_not_hide_a_shift) {
  std::mt19937_64 random(7);
  cv::Mat luminance = 0.35 * view(random);
  const simulator::Film film = simulator::black_and_white_film({.iso = 400});
  const std::vector<cv::Point> shifts = {{0, 0}, {-11, 9}, {10, -12}};
  Roll roll;
  for (std::size_t i = 0; i < shifts.size(); ++i) {
    cv::Mat seen = luminance.clone();
    for (int y = 0; y < kHeight; ++y) {
      for (int x = 0; x < kWidth; ++x) {
        const double u = (x - kWidth / 2.0) / (kWidth / 2.0);
        const double v = (y - kHeight / 2.0) / (kWidth / 2.0);
        seen.at<float>(kRoom + shifts[i].y + y, kRoom + shifts[i].x + x) -=
            static_cast<float>(1.5 * (u * u + v * v) / 1.44);
      }
    }
    roll.frames.push_back(
        photograph(seen, {static_cast<double>(i) - 1, 0, shifts[i]}, film, 50 + i));
    roll.logged.push_back(static_cast<double>(i) - 1);
  }
  for (const auto& [a, b] : std::vector<std::pair<std::size_t, std::size_t>>{{0, 1}, {1, 2}}) {
    const auto found = find_same_view(sketch_view(roll.frames[a].measurement.negative),
                                      sketch_view(roll.frames[b].measurement.negative));
    ASSERT_TRUE(found) << a;
    EXPECT_NEAR(found->dx, shifts[a].x - shifts[b].x, 1) << a;
    EXPECT_NEAR(found->dy, shifts[a].y - shifts[b].y, 1) << a;
  }
}

TEST(ExposureSeries, frames_of_different_views_are_no_series) {
  Roll roll = shoot(3, 0, 41);
  // One of each view, at three exposures.
  Roll mixed;
  for (const std::size_t i : {0u, 4u, 8u}) {
    mixed.frames.push_back(roll.frames[i]);
    mixed.logged.push_back(roll.logged[i]);
  }
  EXPECT_FALSE(
      contrast_from_series(mixed.series_frames(), film::generic_black_and_white(FilmSpeed(400))));
  // Where rows speak of a series, it is said that the pictures show none.
  std::vector<SeriesFrame> spoken_of = mixed.series_frames();
  spoken_of[0].logged.hint = spoken_of[2].logged.hint = true;
  const auto contrast =
      contrast_from_series(spoken_of, film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(contrast);
  EXPECT_TRUE(contrast->series.empty());
  EXPECT_EQ(contrast->not_seen, (std::vector<std::size_t>{0, 2}));
  EXPECT_EQ(contrast->names.at(2), "3");
  // The same frames with one exposure logged for all tell nothing of contrast.
  roll.logged.assign(roll.logged.size(), 0);
  EXPECT_FALSE(
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400))));
}

TEST(ExposureSeries, wrong_row_is_left_out) {
  Roll roll = shoot(1, 0.03, 51);
  roll.logged[2] = 3;  // was 1
  const auto found =
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(found);
  ASSERT_EQ(found->series.size(), 1u);
  EXPECT_EQ(found->series[0].left_out.size() + (found->series[0].used ? 0u : 1u), 1u);
  if (found->series[0].used) {
    EXPECT_LE(*found->factor.low, roll.true_factor);
    EXPECT_GE(*found->factor.high, roll.true_factor);
  }
}

// The meter followed the light: settings differ by a stop, densities do not.
TEST(ExposureSeries, changed_light_is_noticed) {
  std::mt19937_64 random(7);
  const simulator::Film film = simulator::black_and_white_film({.iso = 400});
  const cv::Mat luminance = view(random);
  Roll roll;
  for (const double logged : {0.0, 1.0}) {
    roll.frames.push_back(photograph(luminance, {0, 0, {2, 1}}, film, random()));
    roll.logged.push_back(logged);
  }
  const film::FilmProfile generic = film::generic_black_and_white(FilmSpeed(400));
  const auto found = contrast_from_series(roll.series_frames(), generic);
  ASSERT_TRUE(found);
  EXPECT_FALSE(found->series[0].used);
  EXPECT_FALSE(found->factor.two_sided());
  EXPECT_EQ(found->film.contrast_source, film::ContrastSource::generic);
}

// In bright light: compensation was dialled, but the shortest time had been reached.
TEST(ExposureSeries, camera_that_could_not_follow_is_noticed) {
  for (const std::uint64_t seed : {9, 10, 11, 12}) {
    std::mt19937_64 random(seed);
    const simulator::Film film = simulator::black_and_white_film({.iso = 400});
    const cv::Mat luminance = view(random);
    Roll roll;
    for (const double stops : {1.0, 1.0, 1.4}) {
      roll.frames.push_back(photograph(luminance, {stops, 0, {1, 2}}, film, random()));
    }
    roll.logged = {-1, 0, 1};
    const auto found =
        contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
    ASSERT_TRUE(found);
    EXPECT_FALSE(found->factor.two_sided())
        << "a stop that made 0.4 is no softer film, seed " << seed << ", " << found->factor.value;
  }
}

TEST(ExposureSeries, people_who_move_count_little) {
  std::mt19937_64 random(8);
  const simulator::Film film = simulator::black_and_white_film({.iso = 400, .rise = 0.90});
  const cv::Mat luminance = view(random);
  Roll roll;
  int place = 60;
  for (const double stops : {-1.0, 0.0, 1.0}) {
    cv::Mat scene = luminance.clone();
    // A figure of 50 x 120 pixels, 7 % of the frame, somewhere else in each frame.
    scene(cv::Rect(place, 100, 50, 120)).setTo(1.5);
    place += 80;
    roll.frames.push_back(photograph(scene, {stops, 0, {0, 0}}, film, random()));
    roll.logged.push_back(stops);
  }
  const auto found =
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(found);
  ASSERT_TRUE(found->factor.two_sided());
  EXPECT_NEAR(found->factor.value / (film.rise() / 0.80), 1, 0.06);
  EXPECT_LE(*found->factor.low, film.rise() / 0.80);
  EXPECT_GE(*found->factor.high, film.rise() / 0.80);
}

/// Net densities of a frame as 8-bit codes, 100 a unit of density, for calibrations of cameras.
cv::Mat codes(const Frame& frame) {
  cv::Mat result(kHeight, kWidth, CV_8UC3);
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      const double density =
          0.001 *
              frame.measurement.negative.millidensity[static_cast<std::size_t>(y) * kWidth + x] -
          frame.base.density.front().value();
      const auto code = static_cast<unsigned char>(std::clamp(100 * density + 0.5, 0.0, 255.0));
      result.at<cv::Vec3b>(y, x) = {code, code, code};
    }
  }
  return result;
}

// [Debevec1997] and [Robertson2003], as OpenCV has them: with no idea of film they find from a
// bracket how much exposure lies between two densities, up to a constant. Ours must agree with
// both, and with the film's truth.
TEST(ExposureSeries, response_matches_Debevec_and_Robertson) {
  std::mt19937_64 random(12);
  const simulator::Film film = simulator::black_and_white_film({.iso = 400, .rise = 0.70});
  const cv::Mat luminance = view(random);
  Roll roll;
  std::vector<cv::Mat> images;
  std::vector<float> times;
  for (const double stops : {-2.0, -1.0, 0.0, 1.0, 2.0}) {
    roll.frames.push_back(photograph(luminance, {stops, 0, {0, 0}}, film, random()));
    roll.logged.push_back(stops);
    cv::Mat smooth;  // an aperture's worth of grain
    cv::blur(codes(roll.frames.back()), smooth, {5, 5});
    images.push_back(smooth);
    times.push_back(static_cast<float>(std::exp2(stops)));
  }
  cv::Mat debevec;
  cv::createCalibrateDebevec(200, 20)->process(images, debevec, times);
  cv::Mat robertson;
  cv::createCalibrateRobertson()->process(images, robertson, times);
  const auto found =
      contrast_from_series(roll.series_frames(), film::generic_black_and_white(FilmSpeed(400)));
  ASSERT_TRUE(found && found->factor.two_sided());
  const film::CharacteristicCurve& curve = found->film.layers.front().curve;
  const auto theirs = [](const cv::Mat& response, double low, double high) {
    return std::log2(response.at<cv::Vec3f>(static_cast<int>(100 * high))[1] /
                     response.at<cv::Vec3f>(static_cast<int>(100 * low))[1]);
  };
  const auto truth = [&](double low, double high) {
    return (film.layers[0].log_h(high) - film.layers[0].log_h(low)) / kLog10PerStop;
  };
  for (const auto& [low, high] :
       std::vector<std::pair<double, double>>{{0.2, 0.5}, {0.3, 0.8}, {0.5, 1.0}, {0.2, 1.0}}) {
    const double ours =
        (curve.exposure(NetDensity(high)) - curve.exposure(NetDensity(low))).value();
    const double tolerance = 0.10 * truth(low, high);
    EXPECT_NEAR(ours, truth(low, high), tolerance) << low << " to " << high;
    EXPECT_NEAR(ours, theirs(debevec, low, high), 1.5 * tolerance) << low << " to " << high;
    EXPECT_NEAR(ours, theirs(robertson, low, high), 1.5 * tolerance) << low << " to " << high;
  }
}

TEST(LoggedExposure, differences_come_from_settings_else_from_compensation) {
  log::LogRow a;
  a.used = {ShutterTime(1.0 / 125), FNumber(8)};
  log::LogRow b = a;
  b.used.shutter = ShutterTime(1.0 / 60);
  b.filter = Stops(1);
  const film::Reciprocity none;
  EXPECT_NEAR(logged_difference(logged_exposure(a, none), logged_exposure(b, none))->value(), 0,
              1e-9);
  log::LogRow c;
  c.compensation = Stops(-1);
  log::LogRow d;
  d.compensation = Stops(1);
  d.note = "end of the bracket";
  EXPECT_EQ(logged_difference(logged_exposure(c, none), logged_exposure(d, none)), Stops(2));
  EXPECT_TRUE(logged_exposure(d, none).hint);
  EXPECT_FALSE(logged_difference(logged_exposure(a, none), logged_exposure(d, none)));
  // A time of 4 s on film with an exponent loses a part [MakerReciprocity].
  log::LogRow e = a;
  e.used.shutter = ShutterTime(4);
  const film::Reciprocity film{.exponent = 1.31, .table = {}};
  const double loss = (1 - 1 / 1.31) * 2;
  EXPECT_NEAR(logged_difference(logged_exposure(a, film), logged_exposure(e, film))->value(),
              9 - loss, 1e-9);
}

}  // namespace
}  // namespace basefog::evidence

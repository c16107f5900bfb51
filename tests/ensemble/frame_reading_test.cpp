// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numeric>

#include "basefog/ensemble/roll_reading.hpp"
#include "makers/read_frame.hpp"
#include "makers/tabulated_film.hpp"

namespace basefog::ensemble {
namespace {

using namespace reading;

constexpr int kColumns = 70;
constexpr int kRows = 46;
constexpr double kAimAboveSpeed = 3.34;  // stops, ISO 6 (below)

/// Stops above the speed point over the frame, x and y from 0 to 1.
using Scene = std::function<double(double x, double y)>;

Scene even(double stops) {
  return [=](double, double) { return stops; };
}
/// From left to right, evenly in stops.
Scene ramp(double from, double to) {
  return [=](double x, double) { return from + (to - from) * x; };
}

std::vector<double> stops_of(const Scene& scene) {
  std::vector<double> stops;
  for (int y = 0; y < kRows; ++y) {
    for (int x = 0; x < kColumns; ++x) {
      stops.push_back(scene((x + 0.5) / kColumns, (y + 0.5) / kRows));
    }
  }
  return stops;
}

double mean_exposure(const std::vector<double>& stops) {
  double sum = 0;
  for (double x : stops) sum += std::exp2(x);
  return std::log2(sum / static_cast<double>(stops.size()));
}

double percentile(std::vector<double> stops, double p) {
  const auto place =
      stops.begin() + static_cast<std::ptrdiff_t>(p * static_cast<double>(stops.size() - 1));
  std::nth_element(stops.begin(), place, stops.end());
  return *place;
}

/// Sheet film, ISO 6 development within 0.01: 8.5 minutes [StepWedge].
TabulatedFilm normal_development() {
  return read_film("densitometer/six_development_times.csv", {"8.5 min"});
}

/// The scene on a black-and-white film whose speed point is where its table is 0.10 above base.
density::FrameMeasurement photograph(const TabulatedFilm& film, const Scene& scene) {
  const double speed_point = film.log_exposure_at(0, 0.10);
  std::vector<double> density;
  for (double x : stops_of(scene)) {
    density.push_back(film.density_at(0, speed_point + Stops(x).log10()));
  }
  return frame_of(kColumns, kRows, {density});
}

ReadingOptions metered(MeteringPattern pattern) {
  ReadingOptions options;
  options.pattern = pattern;
  return options;
}

FrameReading read(const TabulatedFilm& film, const Scene& scene,
                  const ReadingOptions& options = metered(MeteringPattern::average)) {
  const FilmSpeed speed(100);
  return read_frame(photograph(film, scene), base_of(film), film::generic_black_and_white(speed),
                    {.film_speed = speed}, options);
}

template <class Point>
::testing::AssertionResult holds(const Estimate<Point>& estimate, double truth) {
  if (estimate.low && estimate.low->value() > truth) {
    return ::testing::AssertionFailure() << truth << " below " << estimate.low->value();
  }
  if (estimate.high && estimate.high->value() < truth) {
    return ::testing::AssertionFailure() << truth << " above " << estimate.high->value();
  }
  return ::testing::AssertionSuccess();
}

// 8.125/S lux·s over 0.8/S [ISO6] and over sqrt(2)/S [ISO5800]: 3.34 and 2.52 stops.
TEST(FrameReading, aim_stands_3_34_and_2_52_stops_above_the_speed_point) {
  const TabulatedFilm film = normal_development();
  EXPECT_NEAR(read(film, even(0)).histogram.speed_point.value(), -3.34, 0.005);
  const TabulatedFilm colour = read_film("curves/E4050.csv", {"R", "G", "B"});
  const std::vector<double> one(kColumns * kRows, 1.0);
  const FrameReading reading =
      read_frame(frame_of(kColumns, kRows, {one, one, one}), base_of(colour),
                 film::generic_colour_negative(FilmSpeed(400)), {.film_speed = FilmSpeed(400)});
  EXPECT_NEAR(reading.histogram.speed_point.value(), -2.52, 0.005);
}

// A density of 0.10 above base is the speed point by definition [ISO6], whatever the toe. A median
// of 256 members is good to 0.02.
TEST(FrameReading, frame_at_the_speed_point_is_3_34_under_the_aim) {
  const FrameReading reading = read(normal_development(), even(0));
  EXPECT_NEAR(reading.exposure.estimate.value.value(), -3.34, 0.02);
  EXPECT_NEAR(reading.shadow_reserve.estimate.value.value(), 0, 0.02);
}

// 0.90 above base is 1.30 log H, 4.32 stops, above the speed point [ISO6].
TEST(FrameReading, triangle_of_iso_6_is_read_as_4_32_stops) {
  const TabulatedFilm film = normal_development();
  const std::vector<double> dense(kColumns * kRows, film.base[0] + 0.90);
  const FrameReading reading =
      read_frame(frame_of(kColumns, kRows, {dense}), base_of(film),
                 film::generic_black_and_white(FilmSpeed(100)), {.film_speed = FilmSpeed(100)});
  EXPECT_NEAR(reading.highlight_reach.estimate.value.value(), 1.30 / kLog10PerStop, 0.01);
}

TEST(FrameReading, real_film_at_the_aim_reads_well_exposed) {
  const FrameReading reading = read(normal_development(), even(kAimAboveSpeed));
  EXPECT_NEAR(reading.exposure.estimate.value.value(), 0, 0.25);
  EXPECT_TRUE(holds(reading.exposure.estimate, 0));
  EXPECT_EQ(reading.verdict, Verdict::well_exposed);
}

TEST(FrameReading, four_answers_hold_the_truth_of_a_ramp_on_real_film) {
  const TabulatedFilm film = normal_development();
  for (double shift : {-1.0, 0.0, 1.0}) {
    const Scene scene = ramp(-0.5 + shift, 5.5 + shift);
    const std::vector<double> stops = stops_of(scene);
    const FrameReading reading = read(film, scene);
    const double exposure = mean_exposure(stops) - kAimAboveSpeed;
    EXPECT_NEAR(reading.exposure.estimate.value.value(), exposure, 0.25);
    EXPECT_TRUE(holds(reading.exposure.estimate, exposure));
    EXPECT_TRUE(holds(reading.shadow_reserve.estimate, percentile(stops, 0.02)));
    EXPECT_TRUE(holds(reading.highlight_reach.estimate, percentile(stops, 0.98)));
  }
}

/// What a base moved by its standard deviation does to the exposure is what the base's doubt is
/// said to do, neither half nor twice. The picture is thin, where the base counts most.
TEST(FrameReading, doubt_of_the_base_is_what_a_moved_base_does) {
  const TabulatedFilm film = normal_development();
  density::FrameMeasurement frame = photograph(film, ramp(0.5, 3));
  frame.light_known = true;  // no unevenness besides
  constexpr double kSigma = 0.03;
  const auto read_above = [&](double moved) {
    density::FilmBase base = base_of(film, kSigma);
    base.density[0] = base.density[0] + DensityDifference(moved);
    return read_frame(frame, base, film::generic_black_and_white(FilmSpeed(100)),
                      {.film_speed = FilmSpeed(100)}, metered(MeteringPattern::average));
  };
  const double lower = read_above(-kSigma).exposure.estimate.value.value();
  const double higher = read_above(kSigma).exposure.estimate.value.value();
  EXPECT_NEAR(std::abs(read_above(0).exposure.budget[ErrorCause::base] / ((higher - lower) / 2)), 1,
              0.25);
}

TEST(FrameReading, one_stop_more_light_reads_one_stop_more) {
  const TabulatedFilm film = normal_development();
  const double before = read(film, ramp(0, 4)).exposure.estimate.value.value();
  const double after = read(film, ramp(1, 5)).exposure.estimate.value.value();
  EXPECT_NEAR(after - before, 1, 0.12);
}

// Grey cards on correctly exposed negatives of E-4050 have red densities of 0.77 to 0.87; on the
// same sheet's curves that is log H -1.651 to -1.464 and in the middle -1.557, 0.45 stop above
// 8.125/400 lux·s [KodakE4050].
TEST(FrameReading, grey_card_of_the_sheet_reads_half_a_stop_above_the_aim) {
  const TabulatedFilm film = read_film("curves/E4050.csv", {"R", "G", "B"});
  for (auto [log_h, stops] : {std::pair{-1.651, 0.14}, {-1.557, 0.45}, {-1.464, 0.76}}) {
    std::vector<std::vector<double>> layers;
    for (std::size_t l = 0; l < 3; ++l) {
      layers.emplace_back(kColumns * kRows, film.density_at(l, log_h));
    }
    const FrameReading reading =
        read_frame(frame_of(kColumns, kRows, layers), base_of(film),
                   film::generic_colour_negative(FilmSpeed(400)), {.film_speed = FilmSpeed(400)});
    EXPECT_NEAR(reading.exposure.estimate.value.value(), stops, 0.2);
    EXPECT_TRUE(holds(reading.exposure.estimate, stops));
  }
}

// Net densities of Zones I to VIII, one stop apart [ZoneLadder]: with the contrast that the ladder
// itself shows (0.523 a log H from III to VII; 0.615 in ISO 6 development), neighbouring zones read
// one stop apart.
TEST(FrameReading, zones_read_a_stop_apart) {
  constexpr std::array<double, 8> kZones = {.11, .21, .34, .48, .62, .76, .97, 1.18};
  film::FilmProfile film =
      film::generic_black_and_white(FilmSpeed(100)).with_contrast(0.523 / 0.615);
  const density::FilmBase base{
      density::ReferenceKind::rebate, {Density::from_value(0)}, {DensityDifference(0.004)}, {}};
  const auto exposure = [&](double net) {
    density::FrameMeasurement frame =
        frame_of(kColumns, kRows, {std::vector<double>(kColumns * kRows, net - kScanZero)});
    return read_frame(frame, base, film, {.film_speed = FilmSpeed(100)})
        .exposure.estimate.value.value();
  };
  EXPECT_NEAR(exposure(kZones.back()) - exposure(kZones.front()), 7, 0.5);
  for (std::size_t zone = 1; zone < kZones.size(); ++zone) {
    EXPECT_NEAR(exposure(kZones[zone]) - exposure(kZones[zone - 1]), 1, 0.4) << zone + 1;
  }
}

// On that ladder 0.10 above base lies 4.11 stops below Zone V, 0.77 more than the aim's 3.34: the
// usual "half to a full stop more than the box says" of its practice [ZoneLadder], computed.
TEST(FrameReading, zone_v_of_the_ladder_stands_three_quarters_of_a_stop_above_the_aim) {
  const film::FilmProfile film =
      film::generic_black_and_white(FilmSpeed(100)).with_contrast(0.549 / 0.80);
  const density::FilmBase base{
      density::ReferenceKind::rebate, {Density::from_value(0)}, {DensityDifference(0.004)}, {}};
  const density::FrameMeasurement frame =
      frame_of(kColumns, kRows, {std::vector<double>(kColumns * kRows, 0.62 - kScanZero)});
  EXPECT_NEAR(
      read_frame(frame, base, film, {.film_speed = FilmSpeed(100)}).exposure.estimate.value.value(),
      0.77, 0.25);
}

// The aim by the meter's constant: q K / S over the speed points of ISO 6 and ISO 5800, for the
// ends of ISO 2720's range, and makers' 14 [ISO2720], [ISO6], [ISO5800], computed.
TEST(FrameReading, aims_of_other_meter_constants_stand_where_published) {
  for (auto [k, stops] : {std::pair{10.6, 3.11}, {12.5, 3.34}, {13.4, 3.44}, {14.0, 3.51}}) {
    const Aim aim{.k = k, .film_speed = FilmSpeed(125)};
    EXPECT_NEAR(
        (aim.log_exposure() - film::generic_black_and_white(FilmSpeed(125)).speed_point()).value(),
        stops, 0.006);
  }
  const Aim aim{.film_speed = FilmSpeed(125)};
  EXPECT_NEAR(aim.lux_seconds(), 0.065, 1e-6);
  EXPECT_NEAR(
      (aim.log_exposure() - film::generic_colour_negative(FilmSpeed(125)).speed_point()).value(),
      2.52, 0.006);
}

// Shadows that clear film hides may lie anywhere below: both ends are told, the lower far down.
TEST(FrameReading, shadows_on_clear_film_have_a_far_lower_end) {
  const FrameReading reading = read(normal_development(), ramp(-4, 3));
  const auto& reserve = reading.shadow_reserve.estimate;
  EXPECT_TRUE(holds(reserve, -3.86));
  EXPECT_GT(reserve.value - *reserve.low, 2 * (*reserve.high - reserve.value));
  EXPECT_LT(reserve.high->value(), -0.5);
  EXPECT_TRUE(reading.flags.contains(Flag::shadows_on_base));
}

TEST(FrameReading, correction_that_rests_on_clear_film_is_strongly_under) {
  const FrameReading reading = read(normal_development(), ramp(-5, 1));
  EXPECT_GT(reading.correction.estimate.low->value(), 0.5);
  EXPECT_EQ(reading.verdict, Verdict::strongly_under);
  EXPECT_GT(reading.verdict_chance, 0.9);
}

TEST(FrameReading, highlights_beyond_the_scan_have_a_far_upper_end) {
  const TabulatedFilm film = normal_development();
  density::FrameMeasurement frame = photograph(film, ramp(2, 7));
  frame.densest = {
      Density::from_value(1.0)};  // 1.1 on the film: about 5 stops above its speed point
  const FrameReading reading =
      read_frame(frame, base_of(film), film::generic_black_and_white(FilmSpeed(100)),
                 {.film_speed = FilmSpeed(100)});
  const auto& reach = reading.highlight_reach.estimate;
  EXPECT_TRUE(holds(reach, 6.9));
  EXPECT_GT(*reach.high - reach.value, 2 * (reach.value - *reach.low));
  EXPECT_TRUE(
      holds(reading.exposure.estimate, mean_exposure(stops_of(ramp(2, 7))) - kAimAboveSpeed));
  EXPECT_TRUE(reading.flags.contains(Flag::beyond_scan_range));
  EXPECT_TRUE(reading.flags.contains(Flag::highlights_on_shoulder));
}

/// A frame metered at the aim with a square that is as dense as the film gets: a lamp, whose light
/// cannot be told.
density::FrameMeasurement with_lamp(const TabulatedFilm& film, int side, Stops as_dense_as) {
  density::FrameMeasurement frame = photograph(film, ramp(0, 5));
  const double net = film::generic_black_and_white(FilmSpeed(100))
                         .layers.front()
                         .curve.density(as_dense_as)
                         .value();
  for (int y = 10; y < 10 + side; ++y) {
    for (int x = 10; x < 10 + side; ++x) {
      frame.apertures.density[frame.apertures.index(0, x, y)] =
          static_cast<float>(film.base.front() + kScanZero + net);
    }
  }
  return frame;
}

FrameReading read(const TabulatedFilm& film, const density::FrameMeasurement& frame) {
  return read_frame(frame, base_of(film), film::generic_black_and_white(FilmSpeed(100)),
                    {.film_speed = FilmSpeed(100)}, metered(MeteringPattern::average));
}

// However much light it sent, the lamp may have sent more: the upper end is the farther one, and
// farther than that of a speculum which the film shows.
TEST(FrameReading, saturated_lamp_moves_the_upper_end) {
  const TabulatedFilm film = normal_development();
  const auto width = [](const Estimate<ExposureFromAim>& exposure) {
    return *exposure.high - *exposure.low;
  };
  const auto shown = read(film, with_lamp(film, 10, Stops(6))).exposure.estimate;
  const auto hidden = read(film, with_lamp(film, 10, Stops(12))).exposure.estimate;
  EXPECT_GT(*hidden.high - hidden.value, 1.2 * (hidden.value - *hidden.low));
  EXPECT_GT(width(hidden), 1.5 * width(shown));
}

TEST(FrameReading, clipped_base_widens_the_interval_upwards) {
  const TabulatedFilm film = normal_development();
  density::FilmBase base = base_of(film);
  const auto exposure_over = [&](const density::FilmBase& over) {
    return read_frame(photograph(film, ramp(0, 5)), over,
                      film::generic_black_and_white(FilmSpeed(100)),
                      {.film_speed = FilmSpeed(100)});
  };
  const FrameReading seen = exposure_over(base);
  base.flags.insert(Flag::clipped_base);
  const FrameReading clipped = exposure_over(base);
  EXPECT_GT(clipped.exposure.estimate.value, seen.exposure.estimate.value);
  EXPECT_GT(*clipped.exposure.estimate.high, *seen.exposure.estimate.high);
  EXPECT_TRUE(holds(clipped.exposure.estimate, seen.exposure.estimate.value.value()));
  EXPECT_TRUE(clipped.flags.contains(Flag::clipped_base));
}

TEST(FrameReading, unknown_pattern_spans_what_each_pattern_reads) {
  const TabulatedFilm film = normal_development();
  const Scene lit_middle = [](double x, double y) {
    return std::hypot(1.5 * (x - 0.5), y - 0.5) < 0.25 ? 5.0 : 2.0;
  };
  const FrameReading average = read(film, lit_middle, metered(MeteringPattern::average));
  const FrameReading centre = read(film, lit_middle, metered(MeteringPattern::centre_weighted));
  const FrameReading unknown = read(film, lit_middle, {});
  EXPECT_GT(centre.exposure.estimate.value, average.exposure.estimate.value + Stops(0.5));
  EXPECT_TRUE(holds(unknown.exposure.estimate, average.exposure.estimate.value.value()));
  EXPECT_TRUE(holds(unknown.exposure.estimate, centre.exposure.estimate.value.value()));
  constexpr auto kPattern = ErrorCause::metering_pattern;
  EXPECT_GT(std::abs(unknown.exposure.budget[kPattern]), 0.25);
  EXPECT_EQ(average.exposure.budget[kPattern], 0);
}

TEST(FrameReading, range_longer_than_film_is_flagged) {
  const TabulatedFilm film = normal_development();
  // The scan ends at 0.90 on the film, 4.3 stops above its speed point.
  density::FrameMeasurement frame = photograph(film, ramp(-0.8, 7));
  frame.densest = {Density::from_value(0.90 + film.base[0] + kScanZero)};
  const FrameReading reading =
      read_frame(frame, base_of(film), film::generic_black_and_white(FilmSpeed(100)),
                 {.film_speed = FilmSpeed(100)});
  EXPECT_TRUE(reading.flags.contains(Flag::range_longer_than_film));
  EXPECT_FALSE(read(film, ramp(0, 6)).flags.contains(Flag::range_longer_than_film));
}

TEST(FrameReading, budget_signs_follow_the_cause) {
  const FrameReading reading = read(normal_development(), ramp(1, 6));
  const ErrorBudget& budget = reading.exposure.budget;
  EXPECT_LT(budget[ErrorCause::base], 0);      // base denser: less net density, less exposure
  EXPECT_LT(budget[ErrorCause::contrast], 0);  // film harder: the same density by less exposure
  EXPECT_NEAR(budget[ErrorCause::response], 0, 0.02);  // taken as exact here; by chance of members
  EXPECT_GT(std::abs(budget[ErrorCause::contrast]), 0.2);
}

TEST(FrameReading, histogram_sums_to_one_and_lies_where_the_picture_is) {
  const FrameReading reading = read(normal_development(), ramp(1, 5));
  const StopsHistogram& histogram = reading.histogram;
  EXPECT_NEAR(std::accumulate(histogram.share.begin(), histogram.share.end(), 0.0), 1, 1e-5);
  EXPECT_NEAR(histogram.first.value(), 1 - kAimAboveSpeed, 0.5);
  EXPECT_NEAR(static_cast<double>(histogram.share.size()) * histogram.width.value(), 4, 0.8);
}

TEST(FrameReading, no_base_is_refused) {
  const TabulatedFilm film = normal_development();
  EXPECT_THROW(read_frame(photograph(film, even(3)), density::FilmBase{},
                          film::generic_black_and_white(FilmSpeed(100)), {}),
               std::invalid_argument);
}

}  // namespace
}  // namespace basefog::ensemble

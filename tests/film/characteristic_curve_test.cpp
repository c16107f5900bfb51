// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/characteristic_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {
namespace {

std::vector<CharacteristicCurve> all_generic_curves() {
  std::vector<CharacteristicCurve> curves;
  for (const FilmProfile& film :
       {generic_black_and_white(FilmSpeed(400)), generic_chromogenic(FilmSpeed(400)),
        generic_colour_negative(FilmSpeed(400))}) {
    for (const FilmLayer& layer : film.layers) curves.push_back(layer.curve);
  }
  return curves;
}

std::vector<CharacteristicCurve> variations(const CharacteristicCurve& curve) {
  return {curve,
          curve.with_contrast(0.9),
          curve.with_contrast(1.3),
          curve.with_shoulder(Stops(-2)),
          curve.with_shoulder(Stops(2)),
          curve.with_toe(-0.3),
          curve.with_toe(0.3)};
}

TEST(CharacteristicCurve, exposure_roundtrips_to_1e_9) {
  for (const CharacteristicCurve& generic : all_generic_curves()) {
    for (const CharacteristicCurve& curve : variations(generic)) {
      ASSERT_LT(curve.lowest(), curve.highest());
      for (int i = 0; i <= 1000; ++i) {
        const Stops x = curve.lowest() + (curve.highest() - curve.lowest()) * (i / 1000.0);
        EXPECT_NEAR(curve.exposure(curve.density(x)).value(), x.value(), 1e-9);
      }
    }
  }
}

TEST(CharacteristicCurve, rises_and_its_gradient_is_its_derivative) {
  for (const CharacteristicCurve& generic : all_generic_curves()) {
    for (const CharacteristicCurve& curve : variations(generic)) {
      for (double x = -3; x < 12; x += 0.0101) {
        const double step = 1e-4;
        const double rise =
            (curve.density(Stops(x + step)) - curve.density(Stops(x - step))).value();
        EXPECT_GE(rise, 0) << x;
        EXPECT_NEAR(rise / Stops(2 * step).log10(), curve.gradient(Stops(x)), 2e-4) << x;
      }
    }
  }
}

// W6: [PhotrioSoftplus] D = a1 ln(1 + exp(a2 x + a3)) with parameters that make the curve normal by
// ISO 6 at ISO 400 (computed); gamma and the density at 8.125/400 lux·s are closed forms.
struct AnalyticCurve {
  double a2, a1, a3, gamma, density_at_aim;
};
class Analytic : public testing::TestWithParam<AnalyticCurve> {};

TEST_P(Analytic, from_shape_matches_PhotrioSoftplus) {
  const AnalyticCurve& c = GetParam();
  CurveShape shape;
  shape.toe_width = 1 / c.a2;
  shape.shoulder = Stops(40);  // no shoulder
  const CharacteristicCurve curve = CharacteristicCurve::from_shape(shape);
  const double speed_point = std::log10(0.8 / 400);
  const auto truth = [&](double log_h) { return c.a1 * std::log1p(std::exp(c.a2 * log_h + c.a3)); };
  for (double log_h = -3.6; log_h <= 0; log_h += 0.03) {
    const Stops x = Stops::from_log10(log_h - speed_point);
    EXPECT_NEAR(curve.density(x).value(), truth(log_h), 5e-6) << log_h;
    EXPECT_NEAR(curve.gradient(x), c.gamma / (1 + std::exp(-c.a2 * log_h - c.a3)), 2e-5) << log_h;
  }
  EXPECT_NEAR(curve.average_gradient(), 0.80 / 1.30, 1e-5);
  EXPECT_NEAR(curve.density(Stops::from_log10(std::log10(8.125 / 400) - speed_point)).value(),
              c.density_at_aim, 1e-4);
}

INSTANTIATE_TEST_SUITE_P(CharacteristicCurve, Analytic,
                         testing::Values(AnalyticCurve{2.5, 0.448315, 5.3607, 1.12079, 0.6321},
                                         AnalyticCurve{3.0, 0.296452, 7.183594, 0.88936, 0.6586},
                                         AnalyticCurve{4.0, 0.184483, 10.466731, 0.73793, 0.6867}));

TEST(CharacteristicCurve, densities_that_say_nothing_are_clamped) {
  const CharacteristicCurve curve = CharacteristicCurve::from_shape({});
  EXPECT_EQ(curve.exposure(NetDensity(-0.1)), curve.lowest());
  EXPECT_EQ(curve.exposure(NetDensity(0.001)), curve.lowest());
  EXPECT_EQ(curve.exposure(NetDensity(9)), curve.highest());
  // Net density fades into base about a stop below the speed point.
  EXPECT_NEAR(curve.lowest().value(), -1, 0.15);
  EXPECT_NEAR(curve.highlight_limit().value(), film_facts::kSilverShoulder.value(), 0.15);
  EXPECT_TRUE(curve.shoulder_seen());
  EXPECT_EQ(curve.density(Stops(-100)).value(), 0);
  EXPECT_EQ(curve.gradient(Stops(100)), 0);
}

TEST(CharacteristicCurve, highlight_limit_is_at_half_the_mid_scale_gradient) {
  for (const CharacteristicCurve& curve : all_generic_curves()) {
    EXPECT_NEAR(curve.gradient(curve.highlight_limit()) / curve.mid_scale_gradient(), 0.5, 1e-6);
  }
}

TEST(CharacteristicCurve, with_contrast_changes_the_average_gradient_alone) {
  for (const CharacteristicCurve& curve : all_generic_curves()) {
    const CharacteristicCurve harder = curve.with_contrast(1.1);
    EXPECT_NEAR(harder.average_gradient(), 1.1 * curve.average_gradient(), 1e-9);
    EXPECT_NEAR(harder.density(Stops(0)).value(), curve.density(Stops(0)).value(), 1e-12);
  }
}

TEST(CharacteristicCurve, with_shoulder_moves_the_highlight_limit_alone) {
  for (const CharacteristicCurve& curve : all_generic_curves()) {
    const CharacteristicCurve longer = curve.with_shoulder(Stops(1));
    EXPECT_NEAR((longer.highlight_limit() - curve.highlight_limit()).value(), 1, 0.01);
    EXPECT_NEAR(longer.average_gradient(), curve.average_gradient(), 1e-12);
    for (double x : {-1.0, 0.0, 2.0, 4.0}) {
      EXPECT_NEAR(longer.density(Stops(x)).value(), curve.density(Stops(x)).value(), 1e-12);
    }
  }
}

TEST(CharacteristicCurve, with_upper_part_takes_more_exposure_above_the_triangle_alone) {
  const CharacteristicCurve curve = generic_black_and_white(FilmSpeed(100)).layers.front().curve;
  const double triangle = 1.30 / 0.30103;  // ISO 6, stops above the speed point
  for (const double stretch : {0.8, 1.1, 1.5}) {
    const CharacteristicCurve softer = curve.with_upper_part(stretch);
    for (double x = -2; x < triangle - 0.5; x += 0.3) {
      EXPECT_NEAR(softer.density(Stops(x)).value(), curve.density(Stops(x)).value(), 1e-6) << x;
    }
    for (double x = triangle + 0.5; x < 9; x += 0.3) {
      const Stops moved(triangle + (x - triangle) * stretch);
      EXPECT_NEAR(softer.density(moved).value(), curve.density(Stops(x)).value(), 2e-3) << x;
    }
  }
  EXPECT_THROW(curve.with_upper_part(0), std::invalid_argument);
}

TEST(CharacteristicCurve, with_toe_keeps_speed_point_and_contrast) {
  const CharacteristicCurve curve = CharacteristicCurve::from_shape({});
  const CharacteristicCurve longer = curve.with_toe(0.2);
  EXPECT_NEAR(longer.density(Stops(0)).value(), curve.density(Stops(0)).value(), 1e-12);
  EXPECT_NEAR(longer.average_gradient(), curve.average_gradient(), 1e-6);
  EXPECT_NEAR(longer.exposure(curve.density(Stops(-0.5))).value(), -0.6, 1e-6);
}

TEST(CharacteristicCurve, from_points_keeps_points_and_stays_within_them) {
  const std::vector<CurvePoint> points = {
      {Stops(-2), NetDensity(0)},     {Stops(-1), NetDensity(0)},   {Stops(0), NetDensity(0.1)},
      {Stops(1.5), NetDensity(0.35)}, {Stops(4), NetDensity(0.85)}, {Stops(6), NetDensity(1.2)},
      {Stops(8), NetDensity(1.35)},   {Stops(9), NetDensity(1.36)}, {Stops(10), NetDensity(1.36)}};
  const CharacteristicCurve curve = CharacteristicCurve::from_points(points);
  for (const CurvePoint& p : points) {
    EXPECT_NEAR(curve.density(p.exposure).value(), p.density.value(), 1e-12);
  }
  EXPECT_GE(curve.lowest(), Stops(-1));
  EXPECT_LE(curve.highest(), Stops(9));
}

TEST(CharacteristicCurve, first_point_above_base_runs_out_into_base_but_is_not_inverted) {
  const std::vector<CurvePoint> points = {{Stops(1), NetDensity(0.3)},
                                          {Stops(2), NetDensity(0.5)},
                                          {Stops(3), NetDensity(0.7)},
                                          {Stops(4), NetDensity(0.9)}};
  const CharacteristicCurve curve = CharacteristicCurve::from_points(points);
  EXPECT_GT(curve.density(Stops(0)).value(), 0.1);
  EXPECT_LT(curve.density(Stops(-1)).value(), 0.1);
  EXPECT_EQ(curve.lowest(), Stops(1));
  EXPECT_FALSE(curve.shoulder_seen());
  EXPECT_EQ(curve.highlight_limit(), Stops(4));
}

TEST(CharacteristicCurve, refuses_points_that_are_no_curve) {
  const auto refuse = [](std::vector<CurvePoint> points) {
    EXPECT_THROW(CharacteristicCurve::from_points(points), InputError);
  };
  const NetDensity d(0.5);
  refuse({{Stops(0), d}, {Stops(1), NetDensity(0.7)}, {Stops(2), NetDensity(0.9)}});
  refuse({{Stops(0), d}, {Stops(1), d}, {Stops(2), d}, {Stops(3), d}});
  refuse({{Stops(0), d}, {Stops(1), NetDensity(0.4)}, {Stops(2), d}, {Stops(3), NetDensity(0.9)}});
  refuse({{Stops(0), d}, {Stops(0), d}, {Stops(2), NetDensity(0.8)}, {Stops(3), NetDensity(0.9)}});
  refuse({{Stops(0), d}, {Stops(NAN), d}, {Stops(2), NetDensity(0.8)}, {Stops(3), NetDensity(1)}});
  CurveShape impossible;
  impossible.rise_over_1_30 = 0.001;
  EXPECT_THROW(CharacteristicCurve::from_shape(impossible), InputError);
}

}  // namespace
}  // namespace basefog::film

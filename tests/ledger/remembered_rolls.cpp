// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/remembered_rolls.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace basefog::test {

meter::RememberedRoll remembered(const std::string& name, const std::string& camera, int frames) {
  meter::RememberedRoll roll{.name = name, .camera = camera, .film = "pan film"};
  roll.film_speed = FilmSpeed(400);
  roll.film_speed_sigma = 0.12;
  roll.date = "2026-03-14T10:20:00";
  roll.battery = "silver oxide fitted 2026-01-01";
  for (int i = 0; i < frames; ++i) {
    meter::DeviationSample sample;
    sample.frame = name + "/" + std::to_string(i);
    sample.deviation = Stops(-0.5 + 0.03 * i);
    sample.sigma = 0.1 + 0.001 * i;
    sample.shared[reading::ErrorCause::contrast] = 0.05 * i;
    if (i % 8 == 0) sample.reciprocity = Stops(0.01 * i);
    if (i % 5 != 0) sample.shutter = ShutterTime(std::exp2(-(i % 10)));
    if (i % 7 != 0) sample.aperture = FNumber(std::exp2((i % 8) / 2.0));
    sample.lens = i % 2 == 0 ? "normal" : "";
    if (i % 3 != 0) sample.mode = log::ExposureMode::aperture_priority;
    sample.request_logged = i % 4 == 0;
    if (i % 6 != 0) sample.light_ev = 5 + 0.25 * i;
    if (i % 4 != 0) sample.place = static_cast<std::size_t>(i + 1);
    roll.deviations.push_back(sample);
    if (i % 9 != 0) continue;
    meter::TechniqueSample technique{.technique = Stops(0.1 * i), .asked = Stops(1)};
    technique.sigma = 0.2;
    technique.shared[reading::ErrorCause::contrast] = 0.21;
    if (i > 0) technique.place = static_cast<std::size_t>(i);
    technique.scene = "backlit; \"snow\" 'n ice, \xC3\xA9t\xC3\xA9";
    technique.mode = log::ExposureMode::manual;
    roll.techniques.push_back(technique);
  }
  return roll;
}

void expect_same(const meter::RememberedRoll& found, const meter::RememberedRoll& wanted) {
  EXPECT_EQ(found.name, wanted.name);
  EXPECT_EQ(found.camera, wanted.camera);
  EXPECT_EQ(found.film, wanted.film);
  EXPECT_EQ(found.film_speed, wanted.film_speed);
  EXPECT_EQ(found.film_speed_sigma, wanted.film_speed_sigma);
  EXPECT_EQ(found.date, wanted.date);
  EXPECT_EQ(found.battery, wanted.battery);
  ASSERT_EQ(found.deviations.size(), wanted.deviations.size());
  for (std::size_t i = 0; i < wanted.deviations.size(); ++i) {
    const meter::DeviationSample& a = found.deviations[i];
    const meter::DeviationSample& b = wanted.deviations[i];
    EXPECT_EQ(a.frame, b.frame);
    EXPECT_EQ(a.deviation, b.deviation);
    EXPECT_EQ(a.sigma, b.sigma);
    EXPECT_EQ(a.shared, b.shared);
    EXPECT_EQ(a.reciprocity, b.reciprocity);
    EXPECT_EQ(a.place, b.place);
    EXPECT_EQ(a.shutter, b.shutter);
    EXPECT_EQ(a.aperture, b.aperture);
    EXPECT_EQ(a.lens, b.lens);
    EXPECT_EQ(a.mode, b.mode);
    EXPECT_EQ(a.request_logged, b.request_logged);
    EXPECT_EQ(a.light_ev, b.light_ev);
  }
  ASSERT_EQ(found.techniques.size(), wanted.techniques.size());
  for (std::size_t i = 0; i < wanted.techniques.size(); ++i) {
    EXPECT_EQ(found.techniques[i].scene, wanted.techniques[i].scene);
    EXPECT_EQ(found.techniques[i].technique, wanted.techniques[i].technique);
    EXPECT_EQ(found.techniques[i].asked, wanted.techniques[i].asked);
    EXPECT_EQ(found.techniques[i].sigma, wanted.techniques[i].sigma);
    EXPECT_EQ(found.techniques[i].mode, wanted.techniques[i].mode);
    EXPECT_EQ(found.techniques[i].shared, wanted.techniques[i].shared);
    EXPECT_EQ(found.techniques[i].place, wanted.techniques[i].place);
  }
}

}  // namespace basefog::test

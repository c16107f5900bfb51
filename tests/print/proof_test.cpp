// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/proof.hpp"

#include <gtest/gtest.h>
#include <lcms2.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <numeric>

#include "makers/sample_analysis.hpp"
#include "print/jpeg_writer.hpp"
// libjpeg's header needs FILE.
#include <jpeglib.h>

namespace basefog::print {
namespace {

/// Gray levels of linear light through Little CMS's own sRGB profile.
TEST(SrgbCode, agrees_with_little_cms) {
  const std::unique_ptr<void, decltype(&cmsCloseProfile)> srgb(cmsCreate_sRGBProfile(),
                                                               cmsCloseProfile);
  const auto* curve = static_cast<cmsToneCurve*>(cmsReadTag(srgb.get(), cmsSigGreenTRCTag));
  ASSERT_NE(curve, nullptr);
  for (int code = 0; code <= 255; ++code) {
    const double light = cmsEvalToneCurveFloat(curve, static_cast<float>(code) / 255.0F);
    EXPECT_EQ(std::lround(255 * srgb_code(light)), code);
  }
}

TEST(SrgbCode, is_bounded) {
  EXPECT_EQ(srgb_code(-1), 0);
  EXPECT_DOUBLE_EQ(srgb_code(2), 1);
}

TEST(PrintDensity, mid_tone_reflects_eighteen_percent_and_more_exposure_prints_lighter) {
  EXPECT_NEAR(std::pow(10, -print_density(0)), 0.18, 0.0005);
  for (double x = -4; x < 4; x += 0.1) EXPECT_GT(print_density(x), print_density(x + 0.1));
  EXPECT_NEAR(print_density(-10), 2.05, 0.001);
  EXPECT_NEAR(print_density(10), 0, 0.001);
  EXPECT_NEAR((print_density(-0.05) - print_density(0.05)) / 0.1, 1.1, 0.01);
}

std::optional<Positive> straight_print(const roll::FrameResult& frame, const PrintSetup& setup) {
  return print<std::uint8_t>(frame, setup, ProofStyle::straight);
}
std::optional<Positive> corrected_print(const roll::FrameResult& frame, const PrintSetup& setup) {
  return print<std::uint8_t>(frame, setup, ProofStyle::corrected);
}

double mean(const Positive& picture) {
  const double sum = std::accumulate(picture.samples.begin(), picture.samples.end(), 0.0);
  return sum / static_cast<double>(picture.samples.size());
}

/// A frame of one even tone, so many stops from the aim on the given film.
roll::FrameResult even_frame(const roll::Analysis& analysis, Stops from_aim, int channels) {
  roll::FrameResult frame;
  frame.state = density::FrameState::measured;
  frame.reference.kind = density::ReferenceKind::rebate;
  density::NegativePicture& picture = frame.measurement.negative;
  picture = {4, 4, channels, {}};
  for (int c = 0; c < channels; ++c) {
    const Density base = Density::from_value(0.25 + 0.3 * c);
    frame.reference.density.push_back(base);
    // Colour film scanned in gray is read as green.
    const std::size_t last = analysis.film.layers.size() - 1;
    const std::size_t layer = channels == 1 ? (last + 1) / 2 : std::min<std::size_t>(c, last);
    const Stops exposure = analysis.aim.log_exposure() - analysis.film.speed_point() + from_aim;
    const NetDensity net = analysis.film.layers[layer].curve.density(exposure);
    const Density tone = base + (net - NetDensity());
    picture.millidensity.insert(picture.millidensity.end(), 16,
                                static_cast<std::uint16_t>(std::lround(1000 * tone.value())));
  }
  return frame;
}

roll::Analysis film_of(const film::FilmProfile& film) {
  roll::Analysis analysis;
  analysis.film = film;
  analysis.aim.film_speed = film.iso_speed;
  return analysis;
}

TEST(StraightPrint, prints_the_aim_as_the_mid_tone) {
  const int middle = static_cast<int>(std::lround(255 * srgb_code(0.18)));  // 118
  for (const film::FilmProfile& film : {film::generic_black_and_white(FilmSpeed(400)),
                                        film::generic_colour_negative(FilmSpeed(200))}) {
    for (int channels : {1, 3}) {
      const roll::Analysis analysis = film_of(film);
      const auto print =
          straight_print(even_frame(analysis, Stops(0), channels), print_setup(analysis));
      ASSERT_TRUE(print.has_value());
      for (int sample : print->samples) EXPECT_NEAR(sample, middle, 1);
    }
  }
}

TEST(StraightPrint, thin_negatives_print_dark_and_dense_ones_light) {
  const roll::Analysis analysis = film_of(film::generic_black_and_white(FilmSpeed(400)));
  double last = -1;
  for (double stops : {-4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0}) {
    const auto print = straight_print(even_frame(analysis, Stops(stops), 1), print_setup(analysis));
    EXPECT_GT(mean(*print), last) << stops;
    last = mean(*print);
  }
}

TEST(StraightPrint, is_left_out_without_a_density_zero) {
  const roll::Analysis analysis = film_of(film::generic_black_and_white(FilmSpeed(400)));
  roll::FrameResult frame = even_frame(analysis, Stops(0), 1);
  frame.reference = {};
  EXPECT_FALSE(straight_print(frame, print_setup(analysis)).has_value());
  EXPECT_TRUE(corrected_print(frame, print_setup(analysis)).has_value());
  frame.measurement.negative = {};
  EXPECT_FALSE(corrected_print(frame, print_setup(analysis)).has_value());
}

TEST(CorrectedPrint, brings_frames_of_different_exposure_together) {
  const roll::Analysis analysis = sample_analysis();
  const PrintSetup setup = print_setup(analysis);
  const auto apart = [&](const auto& print) {
    return std::abs(mean(*print(analysis.frames[2], setup)) -
                    mean(*print(analysis.frames[3], setup)));
  };
  EXPECT_GT(apart(straight_print), 60);
  EXPECT_LT(apart(corrected_print), 25);
}

TEST(PrintSetup, balances_a_colour_roll_to_neutral) {
  roll::Analysis analysis = film_of(film::generic_colour_negative(FilmSpeed(200)));
  for (double stops : {-1.0, 0.0, 1.0}) {
    roll::FrameResult frame = even_frame(analysis, Stops(stops), 3);
    // A cast from the scanner or the light: the third plane 0.15 denser throughout.
    for (std::size_t i = 32; i < 48; ++i) frame.measurement.negative.millidensity[i] += 150;
    analysis.frames.push_back(frame);
  }
  const auto print = straight_print(analysis.frames[1], print_setup(analysis));
  EXPECT_NEAR(print->samples[0], print->samples[1], 2);
  EXPECT_NEAR(print->samples[2], print->samples[1], 2);
}

TEST(AsScanned, shows_light_as_the_scanner_saw_it) {
  density::NegativePicture picture{3, 1, 1, {0, 301, 4000}};
  const auto shown = as_scanned(picture);
  EXPECT_EQ(shown->samples[0], 255);
  EXPECT_EQ(shown->samples[1], std::lround(255 * srgb_code(0.5)));
  EXPECT_EQ(shown->samples[2], 0);
}

TEST(Reduced, keeps_the_mean_and_the_shape) {
  Positive picture{400, 200, 3, std::vector<std::uint8_t>(400 * 200 * 3)};
  for (std::size_t i = 0; i < picture.samples.size(); ++i) {
    picture.samples[i] = static_cast<std::uint8_t>(i % 251);
  }
  const Positive small = reduced(picture, 100);
  EXPECT_EQ(small.width, 100);
  EXPECT_EQ(small.height, 50);
  EXPECT_NEAR(mean(small), mean(picture), 0.6);
  EXPECT_EQ(reduced(small, 100).samples, small.samples);
}

/// Decoded by libjpeg, the reference decoder.
Positive decoded(const std::vector<std::uint8_t>& file) {
  jpeg_error_mgr errors{};
  jpeg_decompress_struct info{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, file.data(), file.size());
  jpeg_read_header(&info, TRUE);
  jpeg_start_decompress(&info);
  Positive picture{static_cast<int>(info.output_width),
                   static_cast<int>(info.output_height),
                   info.output_components,
                   {}};
  const std::size_t stride = static_cast<std::size_t>(picture.width) * picture.channels;
  picture.samples.resize(stride * picture.height);
  while (info.output_scanline < info.output_height) {
    JSAMPLE* row = picture.samples.data() + info.output_scanline * stride;
    jpeg_read_scanlines(&info, &row, 1);
  }
  jpeg_finish_decompress(&info);
  EXPECT_EQ(errors.num_warnings, 0);
  jpeg_destroy_decompress(&info);
  return picture;
}

TEST(EncodeJpeg, comes_back_from_the_decoder) {
  for (int channels : {1, 3}) {
    Positive picture{64, 48, channels, {}};
    for (int y = 0; y < 48; ++y) {
      for (int x = 0; x < 64; ++x) {
        for (int c = 0; c < channels; ++c) {
          picture.samples.push_back(static_cast<std::uint8_t>(40 + 2 * x + y + 10 * c));
        }
      }
    }
    const Positive back = decoded(encode_jpeg(picture, 90));
    ASSERT_EQ(back.samples.size(), picture.samples.size());
    EXPECT_EQ(back.channels, channels);
    double difference = 0;
    for (std::size_t i = 0; i < back.samples.size(); ++i) {
      difference += std::abs(back.samples[i] - picture.samples[i]);
    }
    EXPECT_LT(difference / static_cast<double>(back.samples.size()), 3);
  }
}

TEST(EncodeJpeg, refuses_what_the_format_cannot_hold) {
  Positive picture{70000, 1, 1, std::vector<std::uint8_t>(70000)};
  EXPECT_THROW(encode_jpeg(picture, 80), std::runtime_error);
}

}  // namespace
}  // namespace basefog::print

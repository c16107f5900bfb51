// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/response_evidence.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

/// A way to read codes that were taken as proportional to light.
struct Reading {
  double factor = 1;  ///< of density; 0 for sRGB's curve
  double prior = 0;   ///< of deep files that say nothing (judgement)
  bool tone_curve = false;
};
constexpr std::array kReadings = {
    Reading{0.74, 0.10, false},  // scanners whose codes are light to the power of 1.35 [LeafWedge]
    Reading{1.0, 0.35, false},   //
    Reading{1.8, 0.10, true},    //
    Reading{0, 0.30, true},      //
    Reading{2.2, 0.15, true},
};

double density_under(const Reading& reading, double read) {
  static const response::Response srgb = response::parse_response("srgb");
  if (reading.factor > 0) return reading.factor * read;
  constexpr double kLeastLight = 1e-7;
  return -std::log10(std::max(srgb.light(std::pow(10.0, -read), 0), kLeastLight));
}

Eigen::Matrix2d symmetric(double first, double both, double second) {
  return Eigen::Matrix2d{{first, both}, {both, second}};
}

/// What is expected of x; spreads within a roll and between rolls. From 255 simulated rolls of real
/// scenes on published films.
struct Expected {
  Eigen::Vector2d mean;
  Eigen::Matrix2d within;
  Eigen::Matrix2d between;
};
Expected silver() {
  return {Eigen::Vector2d{-0.180, 0.161}, symmetric(0.172, 0.109, 0.120),
          symmetric(0.023, 0.024, 0.025)};
}
Expected dyes() {
  return {Eigen::Vector2d{-0.334, -0.019}, symmetric(0.120, 0.060, 0.078),
          symmetric(0.037, 0.030, 0.024)};
}

/// B with no eigenvalue below 0.005, so that no roll is likelier than films differ.
Eigen::Matrix2d with_least_spread(const Eigen::Matrix2d& between) {
  constexpr double kLeast = 0.005;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> solver(between);
  const Eigen::Vector2d values = solver.eigenvalues().cwiseMax(kLeast);
  return solver.eigenvectors() * values.asDiagonal() * solver.eigenvectors().transpose();
}

double likelihood(const Eigen::Vector2d& x, const Expected& expected, std::size_t frames) {
  constexpr double kContrastVariance = 0.04;  // of ln contrast, over and above
  const Eigen::Matrix2d covariance = with_least_spread(expected.between) +
                                     kContrastVariance * Eigen::Matrix2d::Ones() +
                                     expected.within / static_cast<double>(frames);
  const Eigen::Vector2d off = x - expected.mean;
  return std::exp(-0.5 * off.dot(covariance.inverse() * off)) / std::sqrt(covariance.determinant());
}

/// Densities as read, which every reading keeps in order.
struct FrameTones {
  double low, high, densest, base;  ///< against the scan's full scale

  Eigen::Vector2d under(const Reading& reading) const {
    constexpr double kLeastRange = 0.01;
    const double clear = density_under(reading, base);
    const double range = density_under(reading, high) - density_under(reading, low);
    return {std::log(std::max(range, kLeastRange)),
            std::log(std::max(density_under(reading, densest) - clear, kLeastRange))};
  }
};

FrameTones tones_of(const density::FrameMeasurement& frame) {
  const int green = frame.apertures.channels > 1 ? 1 : 0;
  const std::vector<float> read = frame.apertures.densities(green);
  std::vector<double> densities(read.begin(), read.end());
  std::ranges::sort(densities);
  const auto at = [&](double share) { return numeric::sorted_quantile(densities, share); };
  return {at(0.02), at(0.98), at(0.999),
          frame.rebate.density.at(static_cast<std::size_t>(green)).value()};
}

double normal(double x, double mean, double sigma) {
  const double z = (x - mean) / sigma;
  return std::exp(-z * z / 2) / sigma;
}

/// Of green above red and of blue above green in the clear film: with colour film's mask, with a
/// part of it where the scanner took some away, or with none.
double of_colour(double green, double blue) {
  constexpr double kGreen = 0.39;
  constexpr double kBlue = 0.28;
  constexpr double kSpread = 0.10;
  constexpr double kBalanced = 0.03;
  constexpr int kParts = 10;
  double partly = 0;
  for (int i = 0; i <= kParts; ++i) {
    const double part = static_cast<double>(i) / kParts;
    partly += normal(green, part * kGreen, kSpread) * normal(blue, part * kBlue, kSpread);
  }
  return 0.4 * normal(green, kGreen, kSpread) * normal(blue, kBlue, kSpread) +
         0.3 * partly / (kParts + 1) +
         0.3 * normal(green, 0, kBalanced) * normal(blue, 0, kBalanced);
}

/// Clear film's mask as read: green above red, blue above green, averaged over frames.
struct Mask {
  std::vector<std::array<double, 3>> base;

  double likelihood(const Reading& reading, bool colour) const {
    double green = 0;
    double blue = 0;
    double stretch = 0;  // of density differences about the clear film's
    for (const auto& b : base) {
      const double red = density_under(reading, b[0]);
      green += density_under(reading, b[1]) - red;
      blue += density_under(reading, b[2]) - density_under(reading, b[1]);
      constexpr double kStep = 0.01;
      stretch += (density_under(reading, b[1] + kStep) - density_under(reading, b[1])) / kStep;
    }
    const auto count = static_cast<double>(base.size());
    green /= count;
    blue /= count;
    stretch /= count;
    constexpr double kGrayFilm = 0.03;
    const double there =
        colour ? of_colour(green, blue) : normal(green, 0, kGrayFilm) * normal(blue, 0, kGrayFilm);
    // What was read are differences as they stand; times the change to those under the reading.
    return stretch * stretch * there;
  }
};

bool says_nothing(const density::FrameMeasurement& frame) {
  return frame.response.source.kind == response::SourceKind::assumed_tiff;
}

bool is_measured(const density::FrameMeasurement& frame) {
  return frame.state == density::FrameState::measured && !frame.rebate.density.empty() &&
         frame.rebate.kind == density::ReferenceKind::rebate;
}

void add_net_densities(const ReferencedFrame& frame, std::vector<float>& net) {
  const density::ApertureGrid& grid = frame.measurement.apertures;
  const std::size_t plane = static_cast<std::size_t>(grid.columns) * grid.rows;
  for (std::size_t i = 0; i < grid.density.size(); ++i) {
    const auto base = static_cast<float>(frame.base.density[i / plane].value());
    net.push_back(grid.density[i] - base);
  }
}

}  // namespace

std::optional<double> chance_of_tone_curve(std::span<const density::FrameMeasurement> frames) {
  std::vector<FrameTones> tones;
  Mask mask;
  for (const density::FrameMeasurement& frame : frames) {
    if (frame.state == density::FrameState::unreadable) continue;
    if (!says_nothing(frame)) return std::nullopt;
    if (!is_measured(frame)) continue;
    tones.push_back(tones_of(frame));
    if (frame.rebate.density.size() < 3) continue;
    mask.base.push_back({frame.rebate.density[0].value(), frame.rebate.density[1].value(),
                         frame.rebate.density[2].value()});
  }
  if (tones.empty()) return std::nullopt;
  double with_curve = 0;
  double all = 0;
  for (const Reading& reading : kReadings) {
    Eigen::Vector2d x = Eigen::Vector2d::Zero();
    for (const FrameTones& frame : tones) x += frame.under(reading) / double(tones.size());
    double likely = likelihood(x, silver(), tones.size());
    if (!mask.base.empty()) {
      likely = (likely * mask.likelihood(reading, false) +
                likelihood(x, dyes(), tones.size()) * mask.likelihood(reading, true)) /
               2;
    }
    all += reading.prior * likely;
    if (reading.tone_curve) with_curve += reading.prior * likely;
  }
  return all > 0 ? std::optional(with_curve / all) : std::nullopt;
}

std::vector<Question> ask_for_response(std::optional<double> tone_curve) {
  if (!is_torn(tone_curve)) return {};
  Question question{
      .about = QuestionAbout::response,
      .choices = {
          {.answer = NamedAnswer{"srgb"}, .chance = *tone_curve, .option = "--response srgb"},
          {.answer = NamedAnswer{"linear"},
           .chance = 1 - *tone_curve,
           .option = "--response linear"}}};
  std::ranges::sort(question.choices, std::greater{}, &Choice::chance);
  return {std::move(question)};
}

response::Response tone_curve_found() {
  // Tone curves differ from one another by so much (judgement: 1.8, sRGB and 2.2).
  constexpr double kCurveSigma = 0.15;
  response::Response response = response::parse_response("srgb");
  response.source = {response::SourceKind::inferred_tiff};
  response.relative_sigma = kCurveSigma;
  return response;
}

std::optional<RollDoubt> response_found(std::span<const ReferencedFrame> frames) {
  std::vector<std::size_t> read_so;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].measurement.response.source.kind == response::SourceKind::inferred_tiff) {
      read_so.push_back(i);
    }
  }
  if (read_so.empty()) return std::nullopt;
  return RollDoubt{
      .warning = {std::nullopt, Flag::response_assumed, response::ResponseDoubt::tone_curve},
      .frames = std::move(read_so)};
}

std::optional<RollDoubt> check_response(std::span<const ReferencedFrame> frames) {
  std::vector<float> net;
  response::DensityWitness witness{.frames = 0};
  std::vector<std::size_t> measured;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const ReferencedFrame& frame = frames[i];
    if (frame.state != density::FrameState::measured) continue;
    measured.push_back(i);
    ++witness.frames;
    add_net_densities(frame, net);
    if (frame.measurement.light_known) {
      witness.clear_film = std::ranges::min(frame.base.density);
    }
  }
  if (net.empty()) return std::nullopt;
  witness.densest = NetDensity(numeric::quantile(std::move(net), 0.999));

  const response::ResponseDoubt doubt =
      response::doubt_response(frames[measured.back()].measurement.response, witness);
  if (doubt == response::ResponseDoubt::none) return std::nullopt;
  return RollDoubt{.warning = {std::nullopt, Flag::response_implausible, doubt},
                   .frames = std::move(measured)};
}

}  // namespace basefog::roll

// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/proof.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <span>

#include "numeric/quantile.hpp"

namespace basefog::print {
namespace {

/// The gradient is taken over three stops about the aim.
constexpr Stops kHalfSpan{1.5};

/// Density of a print's mid-tone, an 18 % reflectance, and of its black, above paper white.
constexpr double kMiddleDensity = 0.7447;
constexpr double kBlackDensity = 2.05;
/// Steepness that makes tone reproduction about 1.1 in the mid-tones, as prints are liked.
constexpr double kSteepness = 2.32;

/// Log exposure range that a normal grade holds from textured black to textured white, and how far
/// grades reach to either side (common practice).
constexpr double kNormalRange = 1.9;
constexpr double kSoftest = 0.7;
constexpr double kHardest = 1.8;

/// How a frame is put on paper.
struct PrintExposure {
  double middle = 0;  ///< log H, relative to the aim, that prints as the mid-tone
  double grade = 1;   ///< 1: normal
};

template <class Sample>
Sample code_of(double light) {
  return static_cast<Sample>(std::lround(std::numeric_limits<Sample>::max() * srgb_code(light)));
}

bool in_colour(const density::NegativePicture& picture, const PrintSetup& setup) {
  return picture.channels == 3 && setup.gradient.size() == 3;
}

/// One printed channel: a density a sample, in steps of 1/1000, which stands for
/// scale * step + offset of log H relative to the aim.
struct TonePlane {
  std::span<const std::uint16_t> steps;
  double scale = 0;
  double offset = 0;

  double log_exposure(std::size_t step) const { return scale * static_cast<double>(step) + offset; }
};

/// Densities above 4.095 print as the lightest tone all the same.
constexpr std::size_t kSteps = 4096;

std::size_t bounded(std::uint16_t step) { return std::min<std::size_t>(step, kSteps - 1); }

/// The planes that are printed: three in colour, otherwise one, the mean of the channels there are,
/// which is kept in `mean`.
std::vector<TonePlane> tone_planes(const density::NegativePicture& picture,
                                   const std::vector<double>& base, const PrintSetup& setup,
                                   std::vector<std::uint16_t>& mean) {
  const std::size_t pixels = static_cast<std::size_t>(picture.width) * picture.height;
  const std::span<const std::uint16_t> all(picture.millidensity);
  const auto plane = [&](std::span<const std::uint16_t> steps, std::size_t layer, double zero) {
    const double scale = 1 / setup.gradient[layer];
    return TonePlane{steps, scale / 1000,
                     setup.balance[layer] - (setup.aim_density[layer] + zero) * scale};
  };
  if (in_colour(picture, setup)) {
    std::vector<TonePlane> planes;
    for (std::size_t c = 0; c < 3; ++c) {
      planes.push_back(plane(all.subspan(c * pixels, pixels), c, base[c]));
    }
    return planes;
  }
  // Gray film, or colour film scanned in gray, for which green stands.
  const std::size_t layer = setup.gradient.size() / 2;
  if (picture.channels == 1) return {plane(all, layer, base[0])};
  mean.resize(pixels);
  for (std::size_t i = 0; i < pixels; ++i) {
    mean[i] = static_cast<std::uint16_t>((all[i] + all[pixels + i] + all[2 * pixels + i] + 1) / 3);
  }
  return {plane(mean, layer, (base[0] + base[1] + base[2]) / 3)};
}

/// Base + fog a channel of a frame's picture, or nothing.
std::vector<double> base_of(const roll::FrameResult& frame) {
  std::vector<double> base;
  if (!frame.reference.has_zero(frame.measurement.negative.channels)) return base;
  for (Density density : frame.reference.density) base.push_back(density.value());
  return base;
}

/// In place of base + fog: each channel's clearest place but for a two-hundredth.
std::vector<double> clearest_of(const density::NegativePicture& picture) {
  const std::size_t pixels = static_cast<std::size_t>(picture.width) * picture.height;
  std::vector<double> base;
  for (std::size_t c = 0; c < static_cast<std::size_t>(picture.channels); ++c) {
    std::vector<std::uint16_t> channel(
        picture.millidensity.begin() + static_cast<std::ptrdiff_t>(c * pixels),
        picture.millidensity.begin() + static_cast<std::ptrdiff_t>((c + 1) * pixels));
    const auto place = channel.begin() + static_cast<std::ptrdiff_t>(pixels / 200);
    std::nth_element(channel.begin(), place, channel.end());
    base.push_back(*place / 1000.0);
  }
  return base;
}

/// The log exposures below which given shares of a plane's tones lie.
template <std::size_t N>
std::array<double, N> tones_at(const TonePlane& plane, const std::array<double, N>& shares) {
  std::vector<std::size_t> count(kSteps);
  for (std::uint16_t step : plane.steps) ++count[bounded(step)];
  std::array<double, N> tones{};
  for (std::size_t k = 0; k < N; ++k) {
    const double wanted = shares[k] * static_cast<double>(plane.steps.size());
    std::size_t step = 0;
    double below = static_cast<double>(count[0]);
    while (below < wanted && step + 1 < kSteps) below += static_cast<double>(count[++step]);
    tones[k] = plane.log_exposure(step);
  }
  return tones;
}

PrintExposure suited_to(const std::vector<TonePlane>& planes) {
  // In colour green, which carries most of the tone.
  const auto [dark, middle, light] = tones_at<3>(planes[planes.size() / 2], {0.02, 0.5, 0.98});
  PrintExposure exposure;
  exposure.grade = std::clamp(kNormalRange / std::max(0.1, light - dark), kSoftest, kHardest);
  // Between the frame's median and the middle of its range, as a printer weighs a test strip.
  exposure.middle = 0.5 * middle + 0.25 * (dark + light);
  return exposure;
}

template <class Sample>
BasicPositive<Sample> printed(const density::NegativePicture& picture,
                              const std::vector<TonePlane>& planes, const PrintExposure& exposure) {
  BasicPositive<Sample> positive{
      picture.width, picture.height, static_cast<int>(planes.size()), {}};
  positive.samples.resize(planes.size() * planes[0].steps.size());
  std::vector<Sample> codes(kSteps);
  for (std::size_t c = 0; c < planes.size(); ++c) {
    for (std::size_t step = 0; step < kSteps; ++step) {
      const double log_exposure = planes[c].log_exposure(step) - exposure.middle;
      codes[step] = code_of<Sample>(std::pow(10, -print_density(log_exposure * exposure.grade)));
    }
    Sample* to = positive.samples.data() + c;
    for (std::uint16_t step : planes[c].steps) {
      *to = codes[bounded(step)];
      to += planes.size();
    }
  }
  return positive;
}

bool has_picture(const density::NegativePicture& picture) {
  return picture.width > 0 && picture.height > 0 &&
         (picture.channels == 1 || picture.channels == 3) &&
         picture.millidensity.size() ==
             static_cast<std::size_t>(picture.width) * picture.height * picture.channels;
}

}  // namespace

double print_density(double log_exposure) {
  static const double kOdds = std::log(kBlackDensity / kMiddleDensity - 1);
  return kBlackDensity / (1 + std::exp(kSteepness * log_exposure + kOdds));
}

double srgb_code(double light) {
  light = std::clamp(light, 0.0, 1.0);
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
}

PrintSetup print_setup(const roll::Analysis& analysis) {
  PrintSetup setup;
  const Stops aim = analysis.aim.log_exposure() - analysis.film.speed_point();
  for (const film::FilmLayer& layer : analysis.film.layers) {
    setup.aim_density.push_back(layer.curve.density(aim).value());
    const DensityDifference rise =
        layer.curve.density(aim + kHalfSpan) - layer.curve.density(aim - kHalfSpan);
    setup.gradient.push_back(std::max(0.05, rise.value() / (2 * kHalfSpan).log10()));
  }
  setup.balance.assign(setup.gradient.size(), 0.0);
  if (setup.gradient.size() != 3) return setup;
  // The roll's mid-tones taken together are neutral; single frames keep their colour.
  std::array<std::vector<double>, 3> medians;
  std::vector<std::uint16_t> mean;
  for (const roll::FrameResult& frame : analysis.frames) {
    const density::NegativePicture& picture = frame.measurement.negative;
    const std::vector<double> base = base_of(frame);
    if (frame.state != density::FrameState::measured || base.size() != 3 || !has_picture(picture))
      continue;
    const std::vector<TonePlane> planes = tone_planes(picture, base, setup, mean);
    for (std::size_t c = 0; c < 3; ++c) {
      medians[c].push_back(tones_at<1>(planes[c], {0.5})[0]);
    }
  }
  if (medians[0].empty()) return setup;
  std::array<double, 3> middle{};
  for (std::size_t c = 0; c < 3; ++c) {
    middle[c] = numeric::median(medians[c]);
  }
  for (std::size_t c = 0; c < 3; ++c) setup.balance[c] = middle[1] - middle[c];
  return setup;
}

template <class Sample>
std::optional<BasicPositive<Sample>> print(const roll::FrameResult& frame,
                                           const density::NegativePicture& picture,
                                           const PrintSetup& setup, ProofStyle style) {
  const bool negative =
      frame.state != density::FrameState::positive && frame.state != density::FrameState::blank;
  if (!negative || !has_picture(picture) || setup.gradient.empty()) {
    return std::nullopt;
  }
  std::vector<double> base = base_of(frame);
  if (base.empty() && style == ProofStyle::straight) return std::nullopt;
  if (base.empty()) base = clearest_of(picture);
  std::vector<std::uint16_t> mean;
  const std::vector<TonePlane> planes = tone_planes(picture, base, setup, mean);
  const PrintExposure exposure =
      style == ProofStyle::straight ? PrintExposure{} : suited_to(planes);
  return printed<Sample>(picture, planes, exposure);
}

template std::optional<Positive> print(const roll::FrameResult&, const density::NegativePicture&,
                                       const PrintSetup&, ProofStyle);
template std::optional<DeepPositive> print(const roll::FrameResult&,
                                           const density::NegativePicture&, const PrintSetup&,
                                           ProofStyle);

std::optional<Positive> as_scanned(const density::NegativePicture& picture) {
  if (!has_picture(picture)) return std::nullopt;
  Positive positive{picture.width, picture.height, picture.channels, {}};
  const std::size_t pixels = static_cast<std::size_t>(picture.width) * picture.height;
  positive.samples.resize(pixels * picture.channels);
  std::vector<std::uint8_t> codes(kSteps);
  for (std::size_t step = 0; step < kSteps; ++step) {
    codes[step] = code_of<std::uint8_t>(std::pow(10, -static_cast<double>(step) / 1000));
  }
  for (std::size_t c = 0; c < static_cast<std::size_t>(picture.channels); ++c) {
    std::uint8_t* to = positive.samples.data() + c;
    for (std::size_t i = 0; i < pixels; ++i, to += picture.channels) {
      *to = codes[bounded(picture.millidensity[c * pixels + i])];
    }
  }
  return positive;
}

template <class Sample>
BasicPositive<Sample> reduced(const BasicPositive<Sample>& picture, int long_side) {
  const int longest = std::max(picture.width, picture.height);
  if (longest <= long_side) return picture;
  const double scale = static_cast<double>(long_side) / longest;
  BasicPositive<Sample> small;
  small.width = std::max(1, static_cast<int>(std::lround(picture.width * scale)));
  small.height = std::max(1, static_cast<int>(std::lround(picture.height * scale)));
  small.channels = picture.channels;
  small.samples.resize(static_cast<std::size_t>(small.width) * small.height * small.channels);
  // OpenCV's headers over our memory; resize reads the first and writes into the second.
  const int type = CV_MAKETYPE(cv::DataType<Sample>::depth, picture.channels);
  const cv::Mat from(picture.height, picture.width, type,
                     const_cast<Sample*>(picture.samples.data()));
  cv::Mat to(small.height, small.width, type, small.samples.data());
  cv::resize(from, to, to.size(), 0, 0, cv::INTER_AREA);
  return small;
}

template Positive reduced(const Positive&, int);
template DeepPositive reduced(const DeepPositive&, int);

}  // namespace basefog::print

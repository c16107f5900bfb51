// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/frame_under_film.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <unsupported/Eigen/SpecialFunctions>

#include "numeric/quantile.hpp"
#include "reading/correction.hpp"

namespace basefog::ensemble {
namespace {

/// Net density that cannot be told from base + fog: half as much again as what base + fog is known
/// to at best (judgement).
constexpr double kLostInBase = 0.006;
/// What is hidden lies within so many stops of its bound: a scene seldom exceeds 14 (judgement).
constexpr double kFarthestHidden = 8;
/// Less than this share of a frame is a lamp or the sun, no window and no sky (judgement).
constexpr double kSmall = 0.005;
/// A group of which more than this share is beyond the scan is a bound as a whole (judgement).
constexpr double kMostOfIt = 0.5;
/// Ranges are counted from where density fades into base, a stop below the speed point.
const double kClearFilm = std::exp2(-GroupedFrame::kClearFilmStops);
constexpr double kNothing = 1e-6;  ///< exposure that stands for none

/// Numbers from 0 to 1, even over frames, over members, and unlike for each use.
enum class Use { base, beyond, clear };
double even(std::size_t frame, std::size_t member, Use use) {
  constexpr std::array kSteps = {0.3, 0.7, 0.1};
  const double step = kSteps.at(static_cast<std::size_t>(use));
  const double place = (static_cast<double>(frame) + 0.5) * std::numbers::sqrt2 * step +
                       (static_cast<double>(member) + 0.5) * (std::numbers::phi + step);
  return place - std::floor(place);
}

/// The law of hidden light in parts of half a stop.
constexpr std::size_t kParts = 16;
constexpr double kPartStops = kFarthestHidden / kParts;

std::vector<double> chances_of_parts(double area) {
  const double exponent = area < kSmall ? 0.5 : 1;
  const auto exceeded = [&](std::size_t part) {
    return part < kParts ? std::exp2(-exponent * kPartStops * static_cast<double>(part)) : 0;
  };
  std::vector<double> chances;
  for (std::size_t i = 0; i < kParts; ++i) chances.push_back(exceeded(i) - exceeded(i + 1));
  return chances;
}

double factor_at(double part) { return std::exp2(kPartStops * part); }

/// The factor that a share of the chances lies below, evenly in stops within a part.
double factor_below(std::span<const double> chances, double share) {
  std::size_t part = 0;
  for (; part + 1 < chances.size() && share >= chances[part]; ++part) share -= chances[part];
  const double within = chances[part] > 0 ? share / chances[part] : 0;
  return factor_at(static_cast<double>(part) + std::min(within, 1.0));
}

/// The light of each group, relative to the speed point's exposure.
struct GroupLight {
  explicit GroupLight(std::size_t groups) : seen(groups), bound(groups), clear(groups) {}
  std::vector<double> seen;   ///< as read, at its bound where beyond the range
  std::vector<double> bound;  ///< of it, what is at its bound
  std::vector<double> clear;  ///< the most that what is on clear film may have got

  double at(std::size_t g, double beyond_factor, double clear_share) const {
    return seen[g] + (beyond_factor - 1) * bound[g] + clear_share * clear[g];
  }
};

/// What a member makes of a frame's densities.
struct Scale {
  double base_sigmas = 0;
  double thinner = 0;  ///< the base than it shows, where the scan clips it
  double stretch = 1;

  double net(const GroupedLayer& layer, double density) const {
    return (density + thinner - base_sigmas * layer.base_sigma) * stretch;
  }
};

Scale scale_of(const GroupedFrame& frame, std::size_t number, const Member& member) {
  constexpr double kClippedBase = 0.15;
  constexpr double kFarthest = 1e-4;  // share of a tail that is not drawn
  Scale scale;
  scale.base_sigmas = frame.own_base
                          ? Eigen::numext::ndtri(std::clamp(even(number, member.number, Use::base),
                                                            kFarthest, 1 - kFarthest))
                          : member.z[Latent::base];
  if (frame.base_clipped) scale.thinner = kClippedBase * std::abs(scale.base_sigmas);
  scale.stretch = 1 + member.z[Latent::response] * frame.response_sigma;
  return scale;
}

/// The metering that the member stands for.
std::size_t metering_of(const GroupedFrame& frame, const Member& member) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < frame.weight.size(); ++i) {
    sum += frame.metering_probability[i];
    if (member.metering < sum) return i;
  }
  return frame.weight.size() - 1;
}

/// Mean over the metered light of the stops that an exposure rises by with its density.
struct Slope {
  double light = 0;
  double all = 0;
  double log() const {
    constexpr double kFlattest = 0.1;  // stops a density of 1; no film is so hard
    return all > 0 ? std::log(std::max(light / all, kFlattest)) : 0;
  }
};

void add_layer(GroupLight& light, Slope& slope, const GroupedFrame& frame,
               const GroupedLayer& layer, const MemberFilm& film, const Scale& scale,
               const std::vector<double>& weights) {
  constexpr double kStep = 0.02;  // density
  const reading::InverseCurve& curve = film.curve(layer.layer);
  const double weight = layer.weight * film.place(layer.layer).ratio();
  const double on_base = weight * curve.exposure(kLostInBase);
  for (std::size_t g = 0; g < frame.groups(); ++g) {
    const double d = scale.net(layer, layer.density[g]);
    if (d <= kLostInBase) {
      light.clear[g] += on_base;
      continue;
    }
    const double h = weight * curve.exposure(d);
    light.seen[g] += h;
    if (d >= curve.highest_density() || frame.beyond[g] > kMostOfIt) light.bound[g] += h;
    const double metered = h * weights[g];
    slope.light +=
        metered * (curve.above_speed(d + kStep) - curve.above_speed(d - kStep)) / (2 * kStep);
    slope.all += metered;
  }
}

/// The usable limit: where the first layer ends, by its shoulder or with the scan.
double highlight_limit(const GroupedFrame& frame, const MemberFilm& film, const Scale& scale) {
  double limit = std::numeric_limits<double>::infinity();
  for (const GroupedLayer& layer : frame.layers) {
    const reading::InverseCurve& curve = film.curve(layer.layer);
    const double end_of_scan = scale.net(layer, layer.densest);
    limit = std::min(limit, film.place(layer.layer).value() +
                                std::min(curve.highlight_limit(), curve.above_speed(end_of_scan)));
  }
  return limit;
}

std::vector<double> over_end(const GroupedFrame& frame, const MemberFilm& film,
                             const Scale& scale) {
  std::vector<double> over;
  for (const GroupedLayer& layer : frame.layers) {
    over.push_back(scale.net(layer, layer.greatest_density) -
                   film.curve(layer.layer).top_density());
  }
  return over;
}

/// Of groups in order, each of which stands for the middle of its share of the frame.
double percentile(const std::vector<double>& sorted, double share) {
  const auto count = static_cast<double>(sorted.size());
  return numeric::sorted_quantile(sorted, (share * count - 0.5) / std::max(count - 1, 1.0));
}

double metered_stops(const GroupLight& light, const std::vector<double>& weights,
                     double beyond_factor, double clear_share) {
  double sum = 0;
  for (std::size_t g = 0; g < weights.size(); ++g) {
    sum += weights[g] * light.at(g, beyond_factor, clear_share);
  }
  return std::log2(std::max(sum, kNothing));
}

}  // namespace

FrameUnderFilm read_under(const GroupedFrame& frame, std::size_t frame_number,
                          const MemberFilm& film, ExposureAboveSpeedPoint aim,
                          std::span<const double> chances) {
  using reading::Quantity;
  const Member& member = film.member();
  const Scale scale = scale_of(frame, frame_number, member);
  const std::size_t metering = metering_of(frame, member);
  const std::vector<double>& weights = frame.weight[metering];
  const std::size_t groups = frame.groups();
  GroupLight light(groups);
  Slope slope;
  for (const GroupedLayer& layer : frame.layers) {
    add_layer(light, slope, frame, layer, film, scale, weights);
  }
  const auto beyond = groups - std::ranges::count(light.bound, 0.0);
  const double area = static_cast<double>(beyond) / static_cast<double>(groups);

  FrameUnderFilm result{.base = scale.base_sigmas, .metering = static_cast<double>(metering)};
  const std::vector<double> by_law = beyond > 0 ? chances_of_parts(area) : std::vector<double>{1.0};
  if (chances.empty()) chances = by_law;
  result.chances = by_law;
  for (std::size_t part = 0; part < by_law.size(); ++part) {
    result.exposures.push_back(
        metered_stops(light, weights, factor_at(static_cast<double>(part) + 0.5), 0.5) -
        aim.value() + film.slower().value());
  }
  const double likely_factor = factor_below(by_law, 0.5);
  const auto likely_at = [&](double share) {
    return light.at(frame.group_at(share), likely_factor, 0.5);
  };
  result.likely_range = std::log2(likely_at(reading::kHighlightPercentile) /
                                  std::max(likely_at(reading::kShadowPercentile), kClearFilm));
  result.log_slope = slope.log();
  result.over_end = over_end(frame, film, scale);

  const double factor = factor_below(chances, even(frame_number, member.number, Use::beyond));
  const double share =
      std::max(even(frame_number, member.number, Use::clear), std::exp2(-kFarthestHidden));
  const ExposureFromAim exposure =
      from_aim(ExposureAboveSpeedPoint(metered_stops(light, weights, factor, share)), aim);
  std::vector<double> stops;
  stops.reserve(groups);
  for (std::size_t g = 0; g < groups; ++g) {
    stops.push_back(std::log2(std::max(light.at(g, factor, share), kNothing)));
  }
  std::ranges::sort(stops);
  const double limit = highlight_limit(frame, film, scale);
  auto& value = result.value;
  value[Quantity::exposure] = exposure.value() + film.slower().value();
  value[Quantity::shadow_reserve] = percentile(stops, reading::kShadowPercentile);
  value[Quantity::highlight_reach] = percentile(stops, reading::kHighlightPercentile);
  value[Quantity::highlight_room] = limit - value[Quantity::highlight_reach];
  if (frame.one_of_several_layers) return result;
  value[Quantity::correction] = reading::best_correction(stops, limit, exposure).stops;
  return result;
}

}  // namespace basefog::ensemble

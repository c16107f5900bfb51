// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/grouped_frame.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "reading/film_exposures.hpp"
#include "reading/frame_numbers.hpp"

namespace basefog::ensemble {
namespace {

constexpr std::size_t kGroups = 240;

/// The film as given, with its line going on straight beyond what can be read, so that densities up
/// there keep their order.
class StraightBeyond {
 public:
  StraightBeyond(const film::CharacteristicCurve& curve, const film::FilmProfile& film)
      : inverse_(curve, film, {}),
        curve_(curve),
        stops_per_density_(1 / (curve.mid_scale_gradient() * kLog10PerStop)) {}

  double exposure(double density) const {
    const double over = density - inverse_.highest_density();
    if (over <= 0) return inverse_.exposure(density);
    return std::exp2(inverse_.highest() + over * stops_per_density_);
  }
  bool ends_before(double density) const { return density >= inverse_.highest_density(); }
  double density(double exposure) const {
    const double stops = std::log2(std::max(exposure, kNothing));
    if (stops > inverse_.highest()) {
      return inverse_.highest_density() + (stops - inverse_.highest()) / stops_per_density_;
    }
    return curve_.density(Stops(stops)).value();
  }

 private:
  static constexpr double kNothing = 1e-9;
  reading::InverseCurve inverse_;
  const film::CharacteristicCurve& curve_;
  double stops_per_density_;
};

/// The mean exposure of each aperture in one layer.
std::vector<double> aperture_means(const reading::NetDensities& densities,
                                   const reading::LayerDensities& layer,
                                   const StraightBeyond& film) {
  std::vector<double> means;
  const auto parts = static_cast<std::size_t>(densities.parts_per_aperture);
  means.reserve(densities.apertures());
  for (std::size_t i = 0; i < densities.apertures(); ++i) {
    double sum = 0;
    for (std::size_t p = i * parts; p < (i + 1) * parts; ++p) sum += film.exposure(layer.parts[p]);
    means.push_back(sum / static_cast<double>(parts));
  }
  return means;
}

std::vector<std::size_t> order_of(const std::vector<double>& values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), 0U);
  std::ranges::sort(order, {}, [&](std::size_t i) { return values[i]; });
  return order;
}

/// The apertures of a frame as the film as given reads them.
class Apertures {
 public:
  Apertures(const reading::NetDensities& densities, const film::FilmProfile& film)
      : light_(densities.apertures(), 0.0) {
    for (const reading::LayerDensities& layer : densities.layers) weights_ += layer.weight;
    for (const reading::LayerDensities& layer : densities.layers) {
      films_.emplace_back(film.layers[layer.layer].curve, film);
      exposure_.push_back(aperture_means(densities, layer, films_.back()));
      for (std::size_t i = 0; i < light_.size(); ++i) {
        light_[i] += share(layer) * exposure_.back()[i];
      }
    }
    order_ = order_of(light_);
  }

  double share(const reading::LayerDensities& layer) const { return layer.weight / weights_; }
  std::span<const std::size_t> in_order() const { return order_; }

  /// The density that stands for the mean exposure of some apertures in a layer.
  double density_of(std::span<const std::size_t> members, std::size_t layer) const {
    double sum = 0;
    for (const std::size_t i : members) sum += exposure_[layer][i];
    return films_[layer].density(sum / static_cast<double>(members.size()));
  }
  double light_of(std::span<const std::size_t> members) const {
    double sum = 0;
    for (const std::size_t i : members) sum += light_[i];
    return sum / static_cast<double>(members.size());
  }
  double metered(std::span<const std::size_t> members, const std::vector<double>& weight) const {
    double sum = 0;
    for (const std::size_t i : members) sum += weight[i] * light_[i];
    return sum;
  }
  /// Whether a layer of a group lies beyond what the film as given can be read to.
  bool end_before(const GroupedFrame& frame, std::size_t group) const {
    for (std::size_t l = 0; l < films_.size(); ++l) {
      if (films_[l].ends_before(frame.layers[l].density[group])) return true;
    }
    return false;
  }

 private:
  double weights_ = 0;
  std::vector<StraightBeyond> films_;
  std::vector<std::vector<double>> exposure_;  ///< by layer and aperture
  std::vector<double> light_;
  std::vector<std::size_t> order_;
};

double share_beyond(const reading::NetDensities& densities, std::span<const std::size_t> members) {
  const auto beyond = std::ranges::count_if(members, [&](std::size_t i) {
    return std::ranges::any_of(densities.layers, [i](const reading::LayerDensities& layer) {
      return layer.beyond[i] != 0;
    });
  });
  return static_cast<double>(beyond) / static_cast<double>(members.size());
}

}  // namespace

GroupedFrame alone(const GroupedFrame& frame, std::size_t layer) {
  GroupedFrame one = frame;
  one.layers = {frame.layers[layer]};
  one.layers.front().weight = 1;
  one.one_of_several_layers = true;
  return one;
}

GroupedFrame group_apertures(const reading::NetDensities& densities, const film::FilmProfile& film,
                             std::span<const reading::PossibleMetering> meterings) {
  const Apertures apertures(densities, film);
  const std::size_t count = densities.apertures();
  const std::size_t groups = std::min(kGroups, count);
  GroupedFrame frame;
  frame.response_sigma = densities.response_sigma;
  for (const reading::LayerDensities& layer : densities.layers) {
    frame.layers.push_back({.layer = layer.layer,
                            .weight = apertures.share(layer),
                            .base_sigma = layer.base_sigma,
                            .greatest_density = std::ranges::max(layer.density),
                            .densest = layer.densest});
  }
  frame.weight.assign(meterings.size(), {});
  for (const reading::PossibleMetering& metering : meterings) {
    frame.metering_probability.push_back(metering.probability);
  }
  std::vector<double> light;
  for (std::size_t g = 0; g < groups; ++g) {
    const std::span<const std::size_t> members = apertures.in_order().subspan(
        g * count / groups, (g + 1) * count / groups - g * count / groups);
    for (std::size_t l = 0; l < frame.layers.size(); ++l) {
      frame.layers[l].density.push_back(apertures.density_of(members, l));
    }
    light.push_back(apertures.light_of(members));
    for (std::size_t m = 0; m < meterings.size(); ++m) {
      frame.weight[m].push_back(apertures.metered(members, meterings[m].weight) / light.back());
    }
    frame.beyond.push_back(share_beyond(densities, members));
  }
  const std::size_t top = frame.group_at(reading::kHighlightPercentile);
  frame.range_is_cut =
      frame.beyond[top] > 0 || apertures.end_before(frame, top) ||
      light[frame.group_at(reading::kShadowPercentile)] < std::exp2(-GroupedFrame::kClearFilmStops);
  return frame;
}

}  // namespace basefog::ensemble

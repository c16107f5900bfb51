// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/net_densities.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace basefog {
namespace {

/// Luminance of red, green and blue light [BT709].
constexpr std::array<double, 3> kLayerWeights = {0.2126, 0.7152, 0.0722};
constexpr std::size_t kGreen = 1;

/// An aperture with more than this share of pixels at the scan's darkest level is a lower bound:
/// their true density no longer enters its mean.
constexpr float kMostFloored = 0.02F;

double densest_net(const FrameMeasurement& frame, const FilmBase& base, int channel) {
  const auto c = static_cast<std::size_t>(channel);
  Density densest = frame.response.densest;
  if (c < frame.densest.size()) densest = std::min(densest, frame.densest[c]);
  return (densest - base.density[c]).value();
}

/// One layer read by one channel.
LayerDensities channel_densities(const FrameMeasurement& frame, const FilmBase& base, int channel) {
  const ApertureGrid& grid = frame.apertures;
  const std::size_t count = static_cast<std::size_t>(grid.columns) * grid.rows;
  LayerDensities layer;
  layer.densest = densest_net(frame, base, channel);
  const auto c = static_cast<std::size_t>(channel);
  if (c < base.sigma.size()) layer.base_sigma = base.sigma[c].value();
  layer.density.reserve(count);
  layer.sigma.reserve(count);
  layer.beyond.reserve(count);
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.columns; ++x) {
      const std::size_t i = grid.index(channel, x, y);
      const double net = net_density(grid, base, channel, x, y).value();
      const bool floored = !grid.floored.empty() && grid.floored[i] > kMostFloored;
      layer.density.push_back(std::min(net, layer.densest));
      layer.sigma.push_back(grid.sigma.empty() ? 0 : grid.sigma[i]);
      layer.beyond.push_back(floored || !(net < layer.densest) ? 1 : 0);
    }
  }
  return layer;
}

/// The mean of channels that see the same silver or dye: noise falls, the base's error does not.
LayerDensities mean_of(const std::vector<LayerDensities>& channels) {
  LayerDensities mean = channels.front();
  const auto count = static_cast<double>(channels.size());
  for (std::size_t i = 0; i < mean.density.size(); ++i) {
    double density = 0;
    double variance = 0;
    bool beyond = false;
    for (const LayerDensities& channel : channels) {
      density += channel.density[i] / count;
      variance += channel.sigma[i] * channel.sigma[i] / (count * count);
      beyond = beyond || channel.beyond[i] != 0;
    }
    mean.density[i] = density;
    mean.sigma[i] = std::sqrt(variance);
    mean.beyond[i] = beyond ? 1 : 0;
  }
  mean.base_sigma = 0;
  for (const LayerDensities& channel : channels) {
    mean.base_sigma += channel.base_sigma / count;
    mean.densest = std::min(mean.densest, channel.densest);
  }
  return mean;
}

}  // namespace

NetDensities net_densities(const FrameMeasurement& frame, const FilmBase& base,
                           const FilmProfile& film) {
  NetDensities result{
      frame.apertures.columns, frame.apertures.rows, {}, frame.response.relative_sigma, {}};
  std::vector<LayerDensities> channels;
  for (int c = 0; c < frame.apertures.channels; ++c) {
    channels.push_back(channel_densities(frame, base, c));
  }
  if (film.layers.size() == 1) {
    result.layers.push_back(mean_of(channels));
  } else if (channels.size() >= film.layers.size()) {
    for (std::size_t l = 0; l < film.layers.size(); ++l) {
      channels[l].layer = l;
      channels[l].weight = kLayerWeights.at(l);
      result.layers.push_back(std::move(channels[l]));
    }
  } else {
    channels.front().layer = kGreen;
    result.layers.push_back(std::move(channels.front()));
    result.flags.insert(Flag::colour_scanned_as_gray);
  }
  return result;
}

}  // namespace basefog

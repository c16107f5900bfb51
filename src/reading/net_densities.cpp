// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/net_densities.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace basefog::reading {
namespace {

/// Luminance of red, green and blue light [BT709].
constexpr std::array<double, 3> kLayerWeights = {0.2126, 0.7152, 0.0722};
constexpr std::size_t kGreen = 1;  // what a gray scan of a colour negative shows most

/// An aperture with more than this share of pixels at the scan's darkest level is a lower bound:
/// their true density no longer enters its mean (judgement).
constexpr float kMostFloored = 0.02F;

double densest_net(const density::FrameMeasurement& frame, const density::FilmBase& base,
                   int channel) {
  const auto c = static_cast<std::size_t>(channel);
  if (c >= frame.densest.size()) return std::numeric_limits<double>::infinity();
  return (frame.densest[c] - base.density[c]).value();
}

/// Density between the rebate and the middle of the picture by a lamp or a copy stand that is
/// uneven by one to two per cent, where no shot of the bare light shows it (common practice).
constexpr double kUnevenLight = 0.006;

/// Parts of an aperture along its side: 0.125 mm on a 36 mm frame, where grain is still small.
constexpr int kPartsAlongSide = 4;

/// Reads the reduced picture of the negative in parts of the frame's apertures.
class PartReader {
 public:
  PartReader(const density::FrameMeasurement& frame, int parts_along_side)
      : picture_(frame.negative), grid_(frame.apertures), along_side_(parts_along_side) {
    // Apertures lie about the middle of the frame, as the picture does; one is 1/72 of the frame's
    // long side, whose ends stay free.
    aperture_ = std::max(picture_.width, picture_.height) / kAperturesPerLongSide;
    left_ = (picture_.width - grid_.columns * aperture_) / 2;
    top_ = (picture_.height - grid_.rows * aperture_) / 2;
    for (std::size_t i = 0; i < light_.size(); ++i) {
      light_[i] = static_cast<float>(std::pow(10.0, -static_cast<double>(i) / 1000));
    }
  }

  /// Density of the mean transmittance of part (i, j) of aperture (x, y), against full scale.
  double density(int channel, int x, int y, int i, int j) const {
    const double part = aperture_ / along_side_;
    const int x0 = static_cast<int>(std::lround(left_ + x * aperture_ + i * part));
    const int y0 = static_cast<int>(std::lround(top_ + y * aperture_ + j * part));
    const int x1 =
        std::max(x0 + 1, static_cast<int>(std::lround(left_ + x * aperture_ + (i + 1) * part)));
    const int y1 =
        std::max(y0 + 1, static_cast<int>(std::lround(top_ + y * aperture_ + (j + 1) * part)));
    double sum = 0;
    for (int v = y0; v < y1; ++v) {
      for (int u = x0; u < x1; ++u) sum += light_at(channel, u, v);
    }
    return -std::log10(sum / ((x1 - x0) * (y1 - y0)));
  }

 private:
  static constexpr double kAperturesPerLongSide = 72;  // as density.cpp lays them

  float light_at(int channel, int x, int y) const {
    x = std::clamp(x, 0, picture_.width - 1);
    y = std::clamp(y, 0, picture_.height - 1);
    const std::size_t i =
        (static_cast<std::size_t>(channel) * picture_.height + y) * picture_.width + x;
    return light_[std::min<std::size_t>(picture_.millidensity[i], light_.size() - 1)];
  }

  const density::NegativePicture& picture_;
  const density::ApertureGrid& grid_;
  int along_side_;
  double aperture_ = 1;
  double left_ = 0;
  double top_ = 0;
  std::array<float, 6001> light_{};  ///< transmittance by thousandths of density
};

/// How finely the measurement lets an aperture be read: 1 where there is no picture, or one no
/// finer than apertures.
int parts_along_side(const density::FrameMeasurement& frame) {
  const density::NegativePicture& picture = frame.negative;
  const int finest = std::max(picture.width, picture.height) / kPartsAlongSide;
  const int apertures = std::max(frame.apertures.columns, frame.apertures.rows);
  return picture.channels == frame.apertures.channels && finest > apertures ? kPartsAlongSide : 1;
}

/// One layer read by one channel.
LayerDensities channel_densities(const density::FrameMeasurement& frame,
                                 const density::FilmBase& base, int channel, int along_side) {
  const density::ApertureGrid& grid = frame.apertures;
  const std::size_t count = static_cast<std::size_t>(grid.columns) * grid.rows;
  const PartReader reader(frame, along_side);
  LayerDensities layer;
  layer.densest = densest_net(frame, base, channel);
  const auto c = static_cast<std::size_t>(channel);
  if (c < base.sigma.size()) layer.base_sigma = base.sigma[c].value();
  if (!frame.light_known) layer.base_sigma = std::hypot(layer.base_sigma, kUnevenLight);
  layer.density.reserve(count);
  layer.sigma.reserve(count);
  layer.beyond.reserve(count);
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.columns; ++x) {
      const std::size_t i = grid.index(channel, x, y);
      const double net = density::net_density(grid, base, channel, x, y).value();
      const bool floored = !grid.floored.empty() && grid.floored[i] > kMostFloored;
      layer.density.push_back(std::min(net, layer.densest));
      layer.sigma.push_back(grid.sigma.empty() ? 0 : grid.sigma[i]);
      layer.beyond.push_back(floored || !(net < layer.densest) ? 1 : 0);
      for (int part = 0; part < along_side * along_side; ++part) {
        const double density =
            along_side == 1 ? net
                            : reader.density(channel, x, y, part % along_side, part / along_side) -
                                  base.density[c].value();
        layer.parts.push_back(static_cast<float>(std::min(density, layer.densest)));
      }
    }
  }
  return layer;
}

/// The mean of channels that see the same silver or dye: grain and the base's error are the same in
/// all, so that neither falls.
LayerDensities mean_of(const std::vector<LayerDensities>& channels) {
  LayerDensities mean = channels.front();
  const auto count = static_cast<double>(channels.size());
  for (std::size_t i = 0; i < mean.density.size(); ++i) {
    double density = 0;
    double sigma = 0;
    bool beyond = false;
    for (const LayerDensities& channel : channels) {
      density += channel.density[i] / count;
      sigma += channel.sigma[i] / count;
      beyond = beyond || channel.beyond[i] != 0;
    }
    mean.density[i] = density;
    mean.sigma[i] = sigma;
    mean.beyond[i] = beyond ? 1 : 0;
  }
  for (std::size_t i = 0; i < mean.parts.size(); ++i) {
    double density = 0;
    for (const LayerDensities& channel : channels) density += channel.parts[i] / count;
    mean.parts[i] = static_cast<float>(density);
  }
  mean.base_sigma = 0;
  for (const LayerDensities& channel : channels) {
    mean.base_sigma += channel.base_sigma / count;
    mean.densest = std::min(mean.densest, channel.densest);
  }
  return mean;
}

}  // namespace

std::string read_through(const density::FrameMeasurement& frame) {
  std::string text = name_of(frame.response.source);
  for (const std::string& name : {frame.metadata.make, frame.metadata.model}) {
    if (!name.empty()) text += ", " + name;
  }
  return text;
}

double response_sigma(const density::FrameMeasurement& frame, const film::FilmProfile& film) {
  // Error of a response that changes from scan to scan: flare follows the picture, and 0.003 of the
  // scan's light that is left of it makes a net density of 1 to 1.5 thinner by a hundredth
  // (computed).
  constexpr double kRepeats = 0.01;
  const bool shared =
      !film.measured_through.empty() && film.measured_through == read_through(frame);
  return shared ? std::min(kRepeats, frame.response.relative_sigma) : frame.response.relative_sigma;
}

NetDensities net_densities(const density::FrameMeasurement& frame, const density::FilmBase& base,
                           const film::FilmProfile& film) {
  NetDensities result;
  result.columns = frame.apertures.columns;
  result.rows = frame.apertures.rows;
  result.response_sigma = response_sigma(frame, film);
  const int along_side = parts_along_side(frame);
  result.parts_per_aperture = along_side * along_side;
  std::vector<LayerDensities> channels;
  for (int c = 0; c < frame.apertures.channels; ++c) {
    channels.push_back(channel_densities(frame, base, c, along_side));
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

}  // namespace basefog::reading

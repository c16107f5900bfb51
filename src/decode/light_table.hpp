// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "basefog/response/response.hpp"
#include "decode/picture.hpp"

namespace basefog::decode {

/// Linear light for every code of a picture, tabulated once a scan.
/// A linear response is not clamped, so that noise about black averages out and float samples above
/// full scale are kept; any other response is clamped to its domain.
class LightTable {
 public:
  LightTable(const Picture& picture, const response::Response& response);

  /// Light of `count` pixels that lie `stride` samples apart, each beginning with the picture's
  /// channels. Written without gaps, the channels of a pixel side by side. Accuracy: exact for
  /// integers; for floats the response is interpolated between 65536 points, NaN becomes 0, and
  /// what lies more than 10,000 times full scale from black is taken for that.
  template <class Sample>
  void convert_pixels(const Sample* samples, std::size_t stride, std::size_t count,
                      float* light) const;
  /// Light of `count` samples of one channel, side by side in `samples`, a pixel apart in `light`.
  template <class Sample>
  void convert_channel(const Sample* samples, std::size_t count, int channel, float* light) const;

  /// True where all channels stand for light in the same way.
  bool has_one_curve() const { return one_curve_; }
  /// Light from which on a pixel counts as clipped; infinity where the samples have no white limit.
  float clip_light(int channel) const { return channels_[channel].clip; }
  /// Light up to which a pixel counts as floored.
  float floor_light(int channel) const { return channels_[channel].floor; }
  /// Light below which one step of the code is more than a tenth of the light itself (0.04
  /// density).
  double darkest(int channel) const { return channels_[channel].darkest; }

 private:
  struct Channel {
    std::shared_ptr<const std::vector<float>> table;
    float clip = 1;
    float floor = 0;
    double darkest = 0;
    float black = 0;  ///< linear responses and float samples
    float scale = 1;  ///< linear responses and float samples
  };
  template <class Sample>
  float light_of_sample(const Channel& channel, Sample sample) const;

  std::array<Channel, 3> channels_;
  int count_;  ///< of channels
  bool linear_;
  bool by_code_;           ///< codes pass a table of the file first
  bool one_curve_ = true;  ///< for all channels
};

}  // namespace basefog::decode

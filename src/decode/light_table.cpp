// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/light_table.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <type_traits>

#include "decode/wide_loop.hpp"

namespace basefog::decode {
namespace {

/// Share of full scale from which on a code counts as clipped. Below 1 because scanners with 12 or
/// 14 true bits end at 65520 or 65532 of 65535; 0.0001 of density.
constexpr double kClipFraction = 65520.0 / 65535.0;
/// A tenth of the light for one step of the code: 0.04 density.
constexpr double kCoarseStep = 0.1;
constexpr std::size_t kFloatTableSize = 65536;

double light_of(const response::Response& response, double fraction, int channel) {
  return response.kind == response::ResponseKind::linear ? fraction
                                                         : response.light(fraction, channel);
}

std::size_t table_size(SampleKind kind) { return kind == SampleKind::u8 ? 256 : kFloatTableSize; }

bool same_curve(const Picture& p, const response::Response& r, int a, int b) {
  return p.black[a] == p.black[b] && p.white[a] == p.white[b] &&
         (!r.curves || r.curves->size() <= 1);
}

double linearized(const Picture& p, std::size_t code) {
  if (p.linearization.empty()) return static_cast<double>(code);
  return p.linearization[std::min(code, p.linearization.size() - 1)];
}

/// Integers are tabulated by code, floats by fraction of full scale.
std::vector<float> tabulate(const Picture& p, const response::Response& response, int channel) {
  std::vector<float> table(table_size(p.kind));
  const bool by_fraction = p.kind == SampleKind::f32;
  const double black = by_fraction ? 0 : p.black[channel];
  const double white = by_fraction ? static_cast<double>(table.size() - 1) : p.white[channel];
  for (std::size_t i = 0; i < table.size(); ++i) {
    const double code = linearized(p, i);
    table[i] = static_cast<float>(light_of(response, (code - black) / (white - black), channel));
  }
  return table;
}

/// The least light at which neighbouring codes differ by no more than kCoarseStep of the light.
double coarse_below(double steps, const response::Response& response, int channel) {
  double previous = std::max(0.0, light_of(response, 0, channel));
  for (int k = 1; k <= steps; ++k) {
    const double light = light_of(response, k / steps, channel);
    if (previous > 0 && light > previous && light - previous <= kCoarseStep * previous)
      return previous;
    if (light > previous) previous = light;
  }
  return previous;
}

/// Code minus black, times scale. No arrays overlap.
BASEFOG_WIDE_LOOP void scale_codes(const std::uint16_t* __restrict samples, std::size_t count,
                                   float black, float scale, float* __restrict light) {
  for (std::size_t i = 0; i < count; ++i)
    light[i] = (static_cast<float>(samples[i]) - black) * scale;
}

template <class Sample>
void look_up(const float* __restrict table, const Sample* __restrict samples, std::size_t count,
             float* __restrict light) {
  for (std::size_t i = 0; i < count; ++i) light[i] = table[samples[i]];
}

}  // namespace

LightTable::LightTable(const Picture& picture, const response::Response& response)
    : count_(picture.channels),
      linear_(response.kind == response::ResponseKind::linear),
      by_code_(!picture.linearization.empty()) {
  for (int c = 0; c < picture.channels; ++c) {
    Channel& channel = channels_[c];
    if (c > 0 && same_curve(picture, response, 0, c)) {
      channel = channels_[0];
      continue;
    }
    one_curve_ = c == 0;
    channel.black = static_cast<float>(picture.black[c]);
    channel.scale = static_cast<float>(1.0 / (picture.white[c] - picture.black[c]));
    channel.table = std::make_shared<const std::vector<float>>(tabulate(picture, response, c));
    const bool limited = picture.has_white_limit || !linear_;
    channel.clip = limited ? static_cast<float>(light_of(response, kClipFraction, c))
                           : std::numeric_limits<float>::infinity();
    channel.floor = static_cast<float>(light_of(response, 0, c));
    channel.darkest = coarse_below(picture.code_steps, response, c);
  }
}

template <class Sample>
float LightTable::light_of_sample(const Channel& channel, Sample sample) const {
  if constexpr (std::is_integral_v<Sample>) {
    return (*channel.table)[sample];
  } else {
    const float fraction = (sample - channel.black) * channel.scale;
    // A sample of 1e38 is damage, and its square would leave the range of the sums.
    constexpr float kMost = 1e4F;
    if (linear_) return std::isnan(fraction) ? 0.0F : std::clamp(fraction, -kMost, kMost);
    const std::vector<float>& table = *channel.table;
    const float last = static_cast<float>(table.size() - 1);
    const float place = fraction > 0 ? std::min(fraction, 1.0F) * last : 0.0F;  // NaN: 0
    const std::size_t below = std::min(static_cast<std::size_t>(place), table.size() - 2);
    return table[below] + (place - static_cast<float>(below)) * (table[below + 1] - table[below]);
  }
}

template <class Sample>
void LightTable::convert_pixels(const Sample* samples, std::size_t stride, std::size_t count,
                                float* light) const {
  const std::size_t channels = count_;
  if (one_curve_ && stride == channels) {
    const Channel& all = channels_[0];
    if constexpr (std::is_same_v<Sample, std::uint16_t>) {
      if (linear_ && !by_code_)
        return scale_codes(samples, count * channels, all.black, all.scale, light);
    }
    if constexpr (std::is_integral_v<Sample>)
      return look_up(all.table->data(), samples, count * channels, light);
    for (std::size_t i = 0; i < count * channels; ++i) light[i] = light_of_sample(all, samples[i]);
    return;
  }
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t c = 0; c < channels; ++c)
      light[i * channels + c] = light_of_sample(channels_[c], samples[i * stride + c]);
  }
}

template <class Sample>
void LightTable::convert_channel(const Sample* samples, std::size_t count, int channel,
                                 float* light) const {
  const Channel& one = channels_[channel];
  const std::size_t channels = count_;
  if (channels == 1) return convert_pixels(samples, 1, count, light);
  for (std::size_t i = 0; i < count; ++i) light[i * channels] = light_of_sample(one, samples[i]);
}

template void LightTable::convert_pixels(const std::uint8_t*, std::size_t, std::size_t,
                                         float*) const;
template void LightTable::convert_pixels(const std::uint16_t*, std::size_t, std::size_t,
                                         float*) const;
template void LightTable::convert_pixels(const float*, std::size_t, std::size_t, float*) const;
template void LightTable::convert_channel(const std::uint8_t*, std::size_t, int, float*) const;
template void LightTable::convert_channel(const std::uint16_t*, std::size_t, int, float*) const;
template void LightTable::convert_channel(const float*, std::size_t, int, float*) const;

}  // namespace basefog::decode

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/kept_frame.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

namespace basefog::ensemble {
namespace {

constexpr std::uint8_t kForm = 1;
constexpr double kDensityStep = 1.0 / 8192;  // from -4 to 4
constexpr double kMostShare = 65535;
constexpr std::size_t kMostGroups = 1024;
constexpr std::size_t kMostParts = 8;  // layers, meterings

/// Numbers as bytes, the lowest first.
class Writer {
 public:
  void byte(std::size_t value) { bytes_ += static_cast<char>(value); }
  void word(std::uint16_t value) {
    byte(value & 0xffU);
    byte(value >> 8U);
  }
  void real(double value) {
    const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(value));
    word(static_cast<std::uint16_t>(bits & 0xffffU));
    word(static_cast<std::uint16_t>(bits >> 16U));
  }
  void density(double value) {
    const double steps = std::clamp(value / kDensityStep, -32768.0, 32767.0);
    word(static_cast<std::uint16_t>(static_cast<std::int16_t>(std::lround(steps))));
  }
  /// Values of zero and more.
  void shares(const std::vector<double>& values) {
    const double most = values.empty() ? 0 : *std::ranges::max_element(values);
    real(most);
    for (const double value : values) {
      word(static_cast<std::uint16_t>(most > 0 ? std::lround(value / most * kMostShare) : 0));
    }
  }
  std::string take() { return std::move(bytes_); }

 private:
  std::string bytes_;
};

class Reader {
 public:
  explicit Reader(std::string_view bytes) : rest_(bytes) {}

  std::size_t byte() {
    if (rest_.empty()) {
      failed_ = true;
      return 0;
    }
    const auto value = static_cast<unsigned char>(rest_.front());
    rest_.remove_prefix(1);
    return value;
  }
  std::uint16_t word() {
    const std::size_t low = byte();
    return static_cast<std::uint16_t>(low | byte() << 8U);
  }
  /// Finite, or infinite where that may be.
  double real(bool may_be_infinite = false) {
    const std::uint32_t low = word();
    const double value = std::bit_cast<float>(low | static_cast<std::uint32_t>(word()) << 16U);
    failed_ |= std::isnan(value) || (std::isinf(value) && !may_be_infinite);
    return value;
  }
  double positive(bool may_be_infinite = false) {
    const double value = real(may_be_infinite);
    failed_ |= value < 0;
    return value;
  }
  double density() { return static_cast<std::int16_t>(word()) * kDensityStep; }
  std::vector<double> shares(std::size_t count) {
    const double most = positive();
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(word() / kMostShare * most);
    return values;
  }
  /// From `least` to `most`.
  std::size_t count(std::size_t value, std::size_t least, std::size_t most) {
    failed_ |= value < least || value > most;
    return failed_ ? 0 : value;
  }
  bool done() const { return !failed_ && rest_.empty(); }

 private:
  std::string_view rest_;
  bool failed_ = false;
};

constexpr std::size_t kRangeIsCut = 1;
constexpr std::size_t kOwnBase = 2;
constexpr std::size_t kBaseClipped = 4;

}  // namespace

std::string keep(const GroupedFrame& frame) {
  Writer out;
  out.byte(kForm);
  out.byte((frame.range_is_cut ? kRangeIsCut : 0) | (frame.own_base ? kOwnBase : 0) |
           (frame.base_clipped ? kBaseClipped : 0));
  out.real(frame.response_sigma);
  out.word(static_cast<std::uint16_t>(frame.groups()));
  out.byte(frame.layers.size());
  for (const GroupedLayer& layer : frame.layers) {
    out.byte(layer.layer);
    out.real(layer.weight);
    out.real(layer.base_sigma);
    out.real(layer.greatest_density);
    out.real(layer.densest);
    for (const double density : layer.density) out.density(density);
  }
  out.byte(frame.weight.size());
  for (std::size_t m = 0; m < frame.weight.size(); ++m) {
    out.real(frame.metering_probability[m]);
    out.shares(frame.weight[m]);
  }
  out.shares(frame.beyond);
  return out.take();
}

std::optional<GroupedFrame> kept(std::string_view bytes) {
  Reader in(bytes);
  if (in.byte() != kForm) return std::nullopt;
  GroupedFrame frame;
  const std::size_t marks = in.byte();
  frame.range_is_cut = (marks & kRangeIsCut) != 0;
  frame.own_base = (marks & kOwnBase) != 0;
  frame.base_clipped = (marks & kBaseClipped) != 0;
  frame.response_sigma = in.positive();
  const std::size_t groups = in.count(in.word(), 1, kMostGroups);
  const std::size_t layers = in.count(in.byte(), 1, kMostParts);
  for (std::size_t l = 0; l < layers; ++l) {
    GroupedLayer layer{.layer = in.count(in.byte(), 0, kMostParts)};
    layer.weight = in.positive();
    layer.base_sigma = in.positive();
    layer.greatest_density = in.real();
    layer.densest = in.real(true);
    for (std::size_t g = 0; g < groups; ++g) layer.density.push_back(in.density());
    frame.layers.push_back(std::move(layer));
  }
  const std::size_t meterings = in.count(in.byte(), 1, kMostParts);
  for (std::size_t m = 0; m < meterings; ++m) {
    frame.metering_probability.push_back(in.positive());
    frame.weight.push_back(in.shares(groups));
  }
  frame.beyond = in.shares(groups);
  if (!in.done()) return std::nullopt;
  return frame;
}

}  // namespace basefog::ensemble

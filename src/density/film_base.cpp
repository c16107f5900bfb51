// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/film_base.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "area/even_density.hpp"
#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "core/name_list.hpp"
#include "numeric/quantile.hpp"

namespace basefog::density {
namespace {

/// Fewest blocks of clear film that make a reference, and of bare light that make its zero: dust
/// and letters must be less than half of them (judgement).
constexpr std::size_t kLeastBlocks = 30;
constexpr std::size_t kLeastBare = 200;
/// Error left of uneven light, flare and edge printing, density (judgement); where parts of the
/// scan cannot be held against each other, twice that.
constexpr double kFloorSigma = 0.002;
/// A zero less sure than this is said to be doubtful: at the speed point, where density rises by
/// about a tenth a stop, it is an eighth of a stop (judgement).
constexpr double kMostSigma = 0.012;
/// A side of the grid of sectors whose bases are compared: fewer hide fall-off, more leave sectors
/// without clear film (judgement).
constexpr int kSectors = 4;
/// Share of clipped pixels from which a base is clipped, and light from which a stated one is
/// (judgement).
constexpr double kMostClipped = 0.01;
constexpr double kWhite = 0.9995;

/// Mean of the half of the values that lies closest together: dust, letters and scratches make up
/// less than half of the rebate and do not move it. values is reordered.
double mean_of_shortest_half(std::vector<float>& values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = (values.size() + 1) / 2;
  std::size_t best = 0;
  for (std::size_t i = 0; i + half <= values.size(); ++i) {
    if (values[i + half - 1] - values[i] < values[best + half - 1] - values[best]) best = i;
  }
  double sum = 0;
  for (std::size_t i = best; i < best + half; ++i) sum += values[i];
  return sum / static_cast<double>(half);
}

/// The middle of a block, pixels.
std::pair<double, double> middle_of(const decode::BlockImage& blocks, std::size_t block) {
  const auto column = static_cast<double>(block % blocks.width);
  const std::size_t row = block / blocks.width;
  return {(column + 0.5) * blocks.block_side, (static_cast<double>(row) + 0.5) * blocks.block_side};
}

/// Densities of blocks, even_density at their middles.
class EvenDensity {
 public:
  EvenDensity(const decode::BlockImage& blocks, const area::FilmLayout& layout)
      : blocks_(blocks), layout_(layout) {}
  float at(int channel, std::size_t block) const {
    const std::size_t plane = static_cast<std::size_t>(blocks_.width) * blocks_.height;
    const auto [x, y] = middle_of(blocks_, block);
    const double light = blocks_.mean[channel * plane + block];
    return static_cast<float>(area::even_density(layout_, light, channel, x, y));
  }

 private:
  const decode::BlockImage& blocks_;
  const area::FilmLayout& layout_;
};

/// Blocks of clear film with nothing else beside them.
std::vector<std::size_t> inner_clear_blocks(const decode::BlockImage& blocks,
                                            const area::FilmLayout& layout) {
  std::vector<std::size_t> out;
  auto clear = [&](int x, int y) {
    if (x < 0 || y < 0 || x >= blocks.width || y >= blocks.height) return true;
    return layout.kind[static_cast<std::size_t>(y) * blocks.width + x] ==
           area::AreaKind::clear_film;
  };
  for (int y = 0; y < blocks.height; ++y) {
    for (int x = 0; x < blocks.width; ++x) {
      bool all = true;
      for (int dy = -1; dy <= 1 && all; ++dy) {
        for (int dx = -1; dx <= 1 && all; ++dx) all = clear(x + dx, y + dy);
      }
      if (all) out.push_back(static_cast<std::size_t>(y) * blocks.width + x);
    }
  }
  return out;
}

/// Standard deviation of the reference: how far its parts over the scan disagree.
double scatter_over_sectors(const decode::BlockImage& blocks, const std::vector<float>& density,
                            const std::vector<std::size_t>& where, double base) {
  std::array<std::vector<float>, kSectors * kSectors> sector;
  for (std::size_t k = 0; k < where.size(); ++k) {
    const int x = static_cast<int>(where[k] % blocks.width) * kSectors / blocks.width;
    const int y = static_cast<int>(where[k] / blocks.width) * kSectors / blocks.height;
    sector[y * kSectors + x].push_back(density[k]);
  }
  std::vector<double> off;
  for (auto& values : sector) {
    if (values.size() >= kLeastBlocks) off.push_back(mean_of_shortest_half(values) - base);
  }
  if (off.size() < 2) return 2 * kFloorSigma;
  const double of_mean = numeric::robust_sigma(off) / std::sqrt(static_cast<double>(off.size()));
  return std::hypot(of_mean, kFloorSigma);
}

/// Change of the base's density for a change of the stray light's share: what stray light there is
/// against the film's own light, less what the film's own light loses.
double stray_leverage(const area::FilmLayout& layout, const decode::BlockImage& blocks,
                      const std::vector<std::size_t>& where, int channel) {
  if (layout.stray.share <= 0) return 0;
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  double stray = 0;
  double light = 0;
  for (std::size_t i : where) {
    const auto [x, y] = middle_of(blocks, i);
    stray += layout.stray.at(channel, x, y);
    light += blocks.mean[channel * plane + i];
  }
  return std::abs(stray / layout.stray.share / std::max(light - stray, 1e-6) - 1) / std::log(10.0);
}

/// Base + fog above bare light, where that is known or in view and below white.
std::optional<std::vector<DensityDifference>> above_bare(const scan::Scan& scan,
                                                         const area::FilmLayout& layout,
                                                         const FilmBase& base) {
  std::vector<DensityDifference> out;
  const decode::BlockImage& blocks = scan.blocks;
  const EvenDensity even(blocks, layout);
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  for (int c = 0; c < blocks.channels; ++c) {
    std::vector<double> bare;
    for (std::size_t i = 0; i < plane && !scan.light_known; ++i) {
      if (layout.kind[i] == area::AreaKind::bare_light && blocks.clipped[c * plane + i] == 0) {
        bare.push_back(even.at(c, i));
      }
    }
    if (!scan.light_known && bare.size() < kLeastBare) return std::nullopt;
    const double zero = scan.light_known ? 0 : numeric::median(std::move(bare));
    out.push_back(base.density[c] - Density::from_value(zero));
  }
  return out;
}

}  // namespace

std::string_view name_of(ReferenceKind kind) {
  return name_in(std::to_array<std::string_view>({"rebate", "base_scan", "roll", "given", "none"}),
                 kind);
}

FilmBase measure_rebate(const scan::Scan& scan, const area::FilmLayout& layout) {
  const decode::BlockImage& blocks = scan.blocks;
  FilmBase base;
  const std::vector<std::size_t> where = inner_clear_blocks(blocks, layout);
  if (where.size() < kLeastBlocks) return base;
  base.kind = ReferenceKind::rebate;
  const EvenDensity even(blocks, layout);
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  for (int c = 0; c < blocks.channels; ++c) {
    std::vector<float> values;
    values.reserve(where.size());
    for (std::size_t i : where) values.push_back(even.at(c, i));
    std::vector<float> in_order = values;
    const double density = mean_of_shortest_half(in_order);
    // Only blocks as dense as the base itself: a sliver of bare light may be white.
    constexpr double kAsDense = 0.05;
    double clipped = 0;
    for (std::size_t k = 0; k < where.size(); ++k) {
      if (std::abs(values[k] - density) < kAsDense) {
        clipped += blocks.clipped[c * plane + where[k]] / 255.0;
      }
    }
    base.density.push_back(Density::from_value(density));
    // The error of the stray light that was taken off.
    const double stray = layout.stray.share_sigma * stray_leverage(layout, blocks, where, c);
    base.sigma.emplace_back(
        std::hypot(scatter_over_sectors(blocks, values, where, density), stray));
    if (clipped > kMostClipped * static_cast<double>(where.size()))
      base.flags.insert(Flag::clipped_base);
    if (base.sigma.back().value() > kMostSigma) base.flags.insert(Flag::base_doubtful);
  }
  const std::optional<std::vector<DensityDifference>> above = above_bare(scan, layout, base);
  if (above && !plausible_base(*above)) base.flags.insert(Flag::base_implausible);
  return base;
}

bool plausible_base(const std::vector<DensityDifference>& above_bare) {
  const auto within = [&](std::size_t c, const film_facts::DensityRange& range) {
    return range.holds(above_bare[c].value());
  };
  bool gray = true;
  bool masked = above_bare.size() == film_facts::kMaskedBaseRange.size();
  for (std::size_t c = 0; c < above_bare.size(); ++c) {
    gray = gray && within(c, film_facts::kGrayBaseRange);
    masked = masked && within(c, film_facts::kMaskedBaseRange[c]);
  }
  return gray || masked;
}

GivenBase parse_base(std::string_view text) {
  const auto refuse = [&] {
    throw InputError(ErrorCode::usage, "--base", "cannot be '" + std::string(text) + "'",
                     "give one number, or three as R,G,B: codes, or light from 0 to 1");
  };
  GivenBase given;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find(',', from), text.size());
    double value = 0;
    const auto [end, error] = std::from_chars(text.data() + from, text.data() + to, value);
    if (error != std::errc() || end != text.data() + to || !(value > 0) || value > 65535) refuse();
    given.values.push_back(value);
    from = to + 1;
  }
  const auto light = std::count_if(given.values.begin(), given.values.end(),
                                   [](double value) { return value <= 1; });
  const auto count = std::ssize(given.values);
  if ((count != 1 && count != 3) || (light != 0 && light != count)) refuse();
  return given;
}

FilmBase base_given(const GivenBase& given, const response::Response& response, int bits_per_sample,
                    int channels) {
  constexpr double kGivenSigma = 0.005;  // a picker's code, over a few pixels
  FilmBase base;
  if (std::ssize(given.values) != channels) return base;
  const double full = bits_per_sample <= 8 ? 255 : 65535;
  for (int c = 0; c < channels; ++c) {
    const double value = given.values[c];
    if (value > full) return {};
    const double light = value <= 1 ? value : response.light(value / full, c);
    if (!(light > 0)) return {};
    base.density.push_back(Density::from_transmittance(light));
    base.sigma.emplace_back(kGivenSigma);
    if (light > kWhite) base.flags.insert(Flag::clipped_base);
  }
  base.kind = ReferenceKind::given;
  return base;
}

}  // namespace basefog::density

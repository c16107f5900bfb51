// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/film_tones.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace basefog {
namespace {

/// Light below which density is of no more interest here (density 5).
constexpr float kLeastLight = 1e-5F;
/// Width of a histogram bin of density.
constexpr double kBin = 0.005;
/// A film's tone is one only where it covers at least this share of the scan.
constexpr double kLeastShare = 0.002;
/// Base + fog lies this far above bare light, mean over the channels: gray film 0.05 to 0.5,
/// masked colour film about 0.6 [W1, W2, W3: 0.2, 0.65, 0.85].
constexpr double kLeastBase = 0.03;
constexpr double kMostBase = 1.0;
/// Density above the brightest tone from which a uniform border is taken for an opaque mask.
constexpr double kMaskAboveBright = 1.2;

std::vector<float> mean_density(const BlockImage& blocks) {
  const std::size_t n = static_cast<std::size_t>(blocks.width) * blocks.height;
  std::vector<float> density(n, 0.0F);
  for (int c = 0; c < blocks.channels; ++c) {
    for (std::size_t i = 0; i < n; ++i) {
      density[i] -= std::log10(std::max(blocks.mean[c * n + i], kLeastLight));
    }
  }
  for (float& d : density) d /= static_cast<float>(blocks.channels);
  return density;
}

cv::Mat1b where(const FilmTones& tones, auto&& predicate) {
  cv::Mat1b out(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      out(y, x) = predicate(static_cast<std::size_t>(y) * tones.width + x) ? 255 : 0;
    }
  }
  return out;
}

cv::Mat1b grown(const cv::Mat1b& in, int radius) {
  cv::Mat1b out;
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {2 * radius + 1, 2 * radius + 1});
  cv::dilate(in, out, box);
  return out;
}

/// Keeps the parts of a binary picture that touch its border.
cv::Mat1b touching_border(const cv::Mat1b& in) {
  cv::Mat1i label;
  const int count = cv::connectedComponents(in, label, 8, CV_32S);
  std::vector<bool> touches(count, false);
  for (int x = 0; x < in.cols; ++x) {
    touches[label(0, x)] = touches[label(in.rows - 1, x)] = true;
  }
  for (int y = 0; y < in.rows; ++y) {
    touches[label(y, 0)] = touches[label(y, in.cols - 1)] = true;
  }
  touches[0] = false;
  cv::Mat1b out(in.rows, in.cols);
  for (int y = 0; y < in.rows; ++y) {
    for (int x = 0; x < in.cols; ++x) out(y, x) = touches[label(y, x)] ? 255 : 0;
  }
  return out;
}

double quantile_of(std::vector<float> values, double q) {
  if (values.empty()) return 0;
  const auto k = static_cast<std::size_t>(q * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(k), values.end());
  return values[k];
}

/// The holder's mask: near black, uniform, along the scan's border.
void mark_mask(FilmTones& tones) {
  const double bright = quantile_of(tones.density, 0.005);
  std::vector<float> ring;
  for (int x = 0; x < tones.width; ++x) {
    ring.push_back(tones.density[x]);
    ring.push_back(tones.density[static_cast<std::size_t>(tones.height - 1) * tones.width + x]);
  }
  for (int y = 0; y < tones.height; ++y) {
    ring.push_back(tones.density[static_cast<std::size_t>(y) * tones.width]);
    ring.push_back(tones.density[static_cast<std::size_t>(y + 1) * tones.width - 1]);
  }
  std::vector<float> dark;
  std::copy_if(ring.begin(), ring.end(), std::back_inserter(dark),
               [&](float d) { return d > bright + kMaskAboveBright; });
  if (static_cast<double>(dark.size()) < 0.02 * static_cast<double>(ring.size())) return;
  const double level = quantile_of(dark, 0.7);
  // Up to a third brighter than its own level still counts: flare falls off from the frame.
  const double limit = std::max(level - 0.12, std::min(level - 0.3, 3.0));
  cv::Mat1b mask = touching_border(where(
      tones, [&](std::size_t i) { return tones.density[i] > std::max(limit, bright + 1.0); }));
  // A mask is a broad plain area; what is thinner than three blocks is something else.
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {3, 3});
  cv::morphologyEx(mask, mask, cv::MORPH_OPEN, box);
  const double share =
      static_cast<double>(cv::countNonZero(mask)) / static_cast<double>(mask.total());
  if (share < 0.002) return;
  tones.mask = std::pow(10.0, -level);
  mask = grown(mask, 1);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      if (mask(y, x)) tones.kind[static_cast<std::size_t>(y) * tones.width + x] = AreaKind::mask;
    }
  }
}

/// Histogram of density over the blocks not yet told apart, smoothed, and its peaks from bright on.
class Tonality {
 public:
  explicit Tonality(const FilmTones& tones) {
    least_ = 5;
    for (std::size_t i = 0; i < tones.density.size(); ++i) {
      if (tones.kind[i] == AreaKind::picture) least_ = std::min<double>(least_, tones.density[i]);
    }
    std::vector<double> raw(static_cast<std::size_t>(6.0 / kBin), 0.0);
    for (std::size_t i = 0; i < tones.density.size(); ++i) {
      if (tones.kind[i] != AreaKind::picture) continue;
      const auto bin = static_cast<std::size_t>((tones.density[i] - least_) / kBin);
      raw[std::min(bin, raw.size() - 1)] += 1;
      total_ += 1;
    }
    count_.assign(raw.size(), 0.0);
    constexpr double kSmooth[] = {0.06, 0.12, 0.2, 0.24, 0.2, 0.12, 0.06};
    for (std::size_t i = 0; i < raw.size(); ++i) {
      for (int k = -3; k <= 3; ++k) {
        const auto j = static_cast<std::ptrdiff_t>(i) + k;
        if (j >= 0 && j < static_cast<std::ptrdiff_t>(raw.size()))
          count_[i] += kSmooth[k + 3] * raw[j];
      }
    }
  }

  /// The next tone at or above a density: the densest bin of a hump that holds enough blocks.
  std::optional<double> peak_from(double density) const {
    auto i = static_cast<std::ptrdiff_t>(std::max(0.0, (density - least_) / kBin));
    for (; i < static_cast<std::ptrdiff_t>(count_.size()); ++i) {
      if (count_[i] <= 0 || share_around(i) < kLeastShare) continue;
      bool top = true;
      for (std::ptrdiff_t k = -4; k <= 4 && top; ++k) {
        const auto j = i + k;
        if (j >= 0 && j < static_cast<std::ptrdiff_t>(count_.size())) top = count_[j] <= count_[i];
      }
      if (top) return least_ + (static_cast<double>(i) + 0.5) * kBin;
    }
    return std::nullopt;
  }

  /// Spread of a tone, from the half of it that nothing denser can have added to.
  double sigma_of(double peak) const {
    const auto top = static_cast<std::ptrdiff_t>((peak - least_) / kBin);
    double sum = 0;
    double square = 0;
    for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(0, top - 12); i <= top; ++i) {
      const double away = static_cast<double>(top - i) * kBin;
      const double weight = (i == top ? 0.5 : 1.0) * count_[i];
      sum += weight;
      square += weight * away * away;
    }
    // Less the histogram's own smoothing (1.6 bins).
    const double variance = sum > 0 ? square / sum - 1.6 * 1.6 * kBin * kBin : 0;
    return std::sqrt(std::max(variance, 0.003 * 0.003));
  }

 private:
  double share_around(std::ptrdiff_t i) const {
    double sum = 0;
    for (std::ptrdiff_t k = -4; k <= 4; ++k) {
      const auto j = i + k;
      if (j >= 0 && j < static_cast<std::ptrdiff_t>(count_.size())) sum += count_[j];
    }
    return total_ > 0 ? sum / total_ : 0;
  }

  double least_ = 0;
  double total_ = 0;
  std::vector<double> count_;
};

/// Share of the blocks just outside the areas of tone a that have tone b: film begins with clear
/// film, so around bare light it is nearly all.
double adjoining(const FilmTones& tones, double a, double b, double near) {
  const cv::Mat1b of_a = where(tones, [&](std::size_t i) { return tones.density[i] < a + near; });
  const cv::Mat1b inner = grown(of_a, 2);
  const cv::Mat1b outer = grown(of_a, 4);
  int around = 0;
  int of_b = 0;
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const auto i = static_cast<std::size_t>(y) * tones.width + x;
      if (!outer(y, x) || inner(y, x) || tones.kind[i] == AreaKind::mask) continue;
      ++around;
      of_b += std::abs(tones.density[i] - b) < near ? 1 : 0;
    }
  }
  return around > 0 ? static_cast<double>(of_b) / around : 0.0;
}

/// Decides which of the brightest tones is bare light and which is clear film.
void name_bright_tones(FilmTones& tones, bool light_known) {
  const Tonality tonality(tones);
  const auto first = tonality.peak_from(-10);
  if (!first) return;
  const double sigma = tonality.sigma_of(*first);
  const double near = std::clamp(3 * sigma, 0.015, 0.05);
  for (auto next = tonality.peak_from(*first + kLeastBase); next && *next < *first + kMostBase;
       next = tonality.peak_from(*next + kLeastBase)) {
    if (*next - *first < 2 * near) continue;
    if (adjoining(tones, *first, *next, near) > 0.55) {
      tones.bare = first;
      tones.clear = next;
      tones.clear_sigma = tonality.sigma_of(*next);
      return;
    }
  }
  if (light_known && std::abs(*first) < kLeastBase) {
    tones.bare = first;
    return;
  }
  tones.clear = first;
  tones.clear_sigma = sigma;
}

}  // namespace

FilmTones find_tones(const BlockImage& blocks, bool light_known) {
  FilmTones tones;
  tones.width = blocks.width;
  tones.height = blocks.height;
  tones.density = mean_density(blocks);
  tones.kind.assign(tones.density.size(), AreaKind::picture);
  mark_mask(tones);
  name_bright_tones(tones, light_known);

  const double reach = std::clamp(4 * tones.clear_sigma, 0.02, 0.08);
  const double bare_end = tones.bare && tones.clear ? (*tones.bare + *tones.clear) / 2
                          : tones.bare              ? *tones.bare + 0.05
                                                    : -10.0;
  for (std::size_t i = 0; i < tones.density.size(); ++i) {
    if (tones.kind[i] != AreaKind::picture) continue;
    if (tones.density[i] < bare_end) {
      tones.kind[i] = AreaKind::bare_light;
    } else if (tones.clear && tones.density[i] < *tones.clear + reach) {
      tones.kind[i] = AreaKind::clear_film;
    }
  }
  return tones;
}

}  // namespace basefog

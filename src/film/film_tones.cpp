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
constexpr double kMostGrayBase = 0.55;
constexpr double kLeastOrange = 0.25;
/// Least share of a scan that is picture, where there is film with a picture on bare light.
constexpr double kLeastPicture = 0.02;
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

/// Share of the blocks just outside the areas within [from, to) of density that have a tone.
double adjoining(const FilmTones& tones, double from, double to, double tone, double near) {
  const cv::Mat1b area = where(tones, [&](std::size_t i) {
    return tones.density[i] >= from && tones.density[i] < to && tones.kind[i] == AreaKind::picture;
  });
  const cv::Mat1b inner = grown(area, 2);
  const cv::Mat1b outer = grown(area, 4);
  int around = 0;
  int of_tone = 0;
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const auto i = static_cast<std::size_t>(y) * tones.width + x;
      if (!outer(y, x) || inner(y, x) || tones.kind[i] == AreaKind::mask) continue;
      ++around;
      of_tone += std::abs(tones.density[i] - tone) < near ? 1 : 0;
    }
  }
  return around > 0 ? static_cast<double>(of_tone) / around : 0.0;
}

/// Whether the first tone lies around film that begins with the second: film begins with clear
/// film, and a picture is surrounded by it, not by bare light.
bool film_within_light(const FilmTones& tones, double bare, double clear, double near) {
  const double picture = clear + 2 * near;
  return adjoining(tones, -10, bare + near, clear, near) > 0.55 &&
         adjoining(tones, picture, 10, clear, near) > 2 * adjoining(tones, picture, 10, bare, near);
}

/// Means of each channel over the blocks near a tone.
std::vector<double> channel_densities(const BlockImage& blocks, const FilmTones& tones, double tone,
                                      double near) {
  std::vector<double> sum(blocks.channels, 0.0);
  double count = 0;
  const std::size_t plane = tones.density.size();
  for (std::size_t i = 0; i < plane; ++i) {
    if (std::abs(tones.density[i] - tone) > near) continue;
    count += 1;
    for (int c = 0; c < blocks.channels; ++c) {
      sum[c] -= std::log10(std::max(blocks.mean[c * plane + i], kLeastLight));
    }
  }
  for (double& s : sum) s /= std::max(count, 1.0);
  return sum;
}

/// Whether a step of density from one tone to the next may be that from bare light to clear film:
/// gray and at most 0.5, or with the orange mask of colour negative film.
bool plausible_base(const BlockImage& blocks, const FilmTones& tones, double bare, double clear,
                    double near) {
  const std::vector<double> from = channel_densities(blocks, tones, bare, near);
  const std::vector<double> to = channel_densities(blocks, tones, clear, near);
  if (blocks.channels == 3 && (to[2] - from[2]) - (to[0] - from[0]) > kLeastOrange) return true;
  return clear - bare < kMostGrayBase;
}

/// Share of the scan that is denser than a tone.
double share_above(const FilmTones& tones, double density) {
  double count = 0;
  for (std::size_t i = 0; i < tones.density.size(); ++i) {
    count += tones.kind[i] == AreaKind::picture && tones.density[i] > density ? 1 : 0;
  }
  return count / static_cast<double>(tones.density.size());
}

/// Decides which of the brightest tones is bare light and which is clear film.
void name_bright_tones(const BlockImage& blocks, FilmTones& tones, bool light_known) {
  const Tonality tonality(tones);
  const auto first = tonality.peak_from(-10);
  if (!first) return;
  const double sigma = tonality.sigma_of(*first);
  const double near = std::clamp(3 * sigma, 0.015, 0.05);
  for (auto next = tonality.peak_from(*first + kLeastBase); next && *next < *first + kMostBase;
       next = tonality.peak_from(*next + kLeastBase)) {
    if (*next - *first < 2 * near) continue;
    // An even picture within clear film looks like clear film within bare light, but nothing on it
    // is denser still.
    if (share_above(tones, *next + 2 * near) > kLeastPicture &&
        plausible_base(blocks, tones, *first, *next, near) &&
        film_within_light(tones, *first, *next, near)) {
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
  name_bright_tones(blocks, tones, light_known);

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

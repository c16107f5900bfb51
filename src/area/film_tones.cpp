// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_tones.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "area/film_in_light.hpp"
#include "area/film_mask.hpp"
#include "area/light_cells.hpp"
#include "area/light_fall_off.hpp"
#include "basefog/core/film_facts.hpp"

namespace basefog::area {
namespace {

/// Width of a histogram bin of density, and its reach: finer than a plain tone's spread, and denser
/// than any scanner reads.
constexpr double kBin = 0.005;
constexpr double kReach = 6.0;
/// Bins on either side of a tone's top that belong to its hump, and those over which its brighter
/// half is measured.
constexpr int kHump = 4;
constexpr int kHalfHump = 12;
/// Weights that even out the histogram; their spread is 1.6 bins. Rough histograms have tops that
/// are no tones, smoother ones melt clear film and bare light into one (judgement).
constexpr double kSmooth[] = {0.06, 0.12, 0.2, 0.24, 0.2, 0.12, 0.06};
constexpr int kSmoothReach = 3;
constexpr double kSmoothSpread = 1.6;
/// Tones whose middles lie nearer than this many spreads belong to one; within bounds of density
/// for scans that are very quiet or very rough (judgement).
constexpr double kNearSigmas = 3;
constexpr double kLeastNear = 0.015;
constexpr double kMostNear = 0.05;
/// Density by which neighbouring cells of a plain area differ at most: five times what the noise of
/// quiet cells (light_cells) makes, less than an edge (judgement).
constexpr float kPlainStep = 0.04F;
/// A film's tone is one only where it covers at least this share of the scan: rebate beside one
/// frame of a sheet does, dust and letters do not (judgement).
constexpr double kLeastShare = 0.002;
/// Least share of a scan that is picture, where there is film with a picture on bare light
/// (judgement).
constexpr double kLeastPicture = 0.02;

/// Whether a cell is like its neighbours: scratches, grains of dust and edges are not.
bool is_plain(const FilmTones& tones, int x, int y) {
  const std::size_t i = tones.index(x, y);
  if (tones.kind[i] != AreaKind::picture) return false;
  const float d = tones.density[i];
  const float neighbours[] = {tones.at(x - 1, y), tones.at(x + 1, y), tones.at(x, y - 1),
                              tones.at(x, y + 1)};
  return std::all_of(std::begin(neighbours), std::end(neighbours),
                     [&](float n) { return std::abs(n - d) < kPlainStep; });
}

/// Histogram of density over the plain blocks that have no kind yet, smoothed, and its peaks from
/// bright on.
class Tonality {
 public:
  explicit Tonality(const FilmTones& tones) {
    least_ = 5;
    std::vector<std::size_t> plain;
    for (int y = 1; y + 1 < tones.height; ++y) {
      for (int x = 1; x + 1 < tones.width; ++x) {
        if (is_plain(tones, x, y)) plain.push_back(tones.index(x, y));
      }
    }
    for (const std::size_t i : plain) least_ = std::min<double>(least_, tones.density[i]);
    std::vector<double> raw(static_cast<std::size_t>(kReach / kBin), 0.0);
    for (const std::size_t i : plain) {
      const auto bin = static_cast<std::size_t>((tones.density[i] - least_) / kBin);
      raw[std::min(bin, raw.size() - 1)] += 1;
    }
    total_ = static_cast<double>(tones.density.size());
    count_.assign(raw.size(), 0.0);
    for (std::size_t i = 0; i < raw.size(); ++i) {
      for (int k = -kSmoothReach; k <= kSmoothReach; ++k) {
        const auto j = static_cast<std::ptrdiff_t>(i) + k;
        if (j >= 0 && j < static_cast<std::ptrdiff_t>(raw.size()))
          count_[i] += kSmooth[k + kSmoothReach] * raw[j];
      }
    }
  }

  /// The next tone at or above a density: the densest bin of a hump that holds enough blocks.
  std::optional<double> peak_from(double density) const {
    auto i = static_cast<std::ptrdiff_t>(std::max(0.0, (density - least_) / kBin));
    for (; i < static_cast<std::ptrdiff_t>(count_.size()); ++i) {
      if (count_[i] <= 0 || share_around(i) < kLeastShare) continue;
      bool top = true;
      for (std::ptrdiff_t k = -kHump; k <= kHump && top; ++k) {
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
    for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(0, top - kHalfHump); i <= top; ++i) {
      const double away = static_cast<double>(top - i) * kBin;
      const double weight = (i == top ? 0.5 : 1.0) * count_[i];
      sum += weight;
      square += weight * away * away;
    }
    // Less the histogram's own smoothing.
    const double variance =
        sum > 0 ? square / sum - kSmoothSpread * kSmoothSpread * kBin * kBin : 0;
    constexpr double kLeastSpread = 0.003;  // density; about what a bin can show
    return std::sqrt(std::max(variance, kLeastSpread * kLeastSpread));
  }

 private:
  double share_around(std::ptrdiff_t i) const {
    double sum = 0;
    for (std::ptrdiff_t k = -kHump; k <= kHump; ++k) {
      const auto j = i + k;
      if (j >= 0 && j < static_cast<std::ptrdiff_t>(count_.size())) sum += count_[j];
    }
    return total_ > 0 ? sum / total_ : 0;
  }

  double least_ = 0;
  double total_ = 0;
  std::vector<double> count_;
};

/// Means of each channel over the cells near a tone.
std::vector<double> channel_densities(const LightCells& cells, const FilmTones& tones, double tone,
                                      double near) {
  std::vector<double> sum(cells.channels, 0.0);
  double count = 0;
  for (std::size_t i = 0; i < cells.plane(); ++i) {
    if (std::abs(tones.density[i] - tone) > near) continue;
    count += 1;
    for (int c = 0; c < cells.channels; ++c) sum[c] += cells.density[c * cells.plane() + i];
  }
  for (double& s : sum) s /= std::max(count, 1.0);
  return sum;
}

/// Whether a step of density from one tone to the next may be that from bare light to clear film:
/// not more than gray film has, or with the orange mask of colour negative film.
bool may_be_base(const LightCells& cells, const FilmTones& tones, double bare, double clear,
                 double near) {
  const std::vector<double> from = channel_densities(cells, tones, bare, near);
  const std::vector<double> to = channel_densities(cells, tones, clear, near);
  if (cells.channels == 3 && (to[2] - from[2]) - (to[0] - from[0]) > film_facts::kLeastMaskOfStep)
    return true;
  return clear - bare < film_facts::kMostGrayBaseStep;
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
void name_bright_tones(const LightCells& cells, FilmTones& tones, bool light_known) {
  tones.bare.reset();
  tones.clear.reset();
  const Tonality tonality(tones);
  const auto first = tonality.peak_from(-10);
  if (!first) return;
  const double sigma = tonality.sigma_of(*first);
  const auto near_of = [](double spread) {
    return std::clamp(kNearSigmas * spread, kLeastNear, kMostNear);
  };
  const double near = near_of(sigma);
  for (auto next = tonality.peak_from(*first + film_facts::kBaseStep.least);
       next && *next < *first + film_facts::kBaseStep.most;
       next = tonality.peak_from(*next + film_facts::kBaseStep.least)) {
    if (*next - *first < 2 * near) continue;
    // An even picture within clear film looks like clear film within bare light, but nothing on it
    // is denser still.
    if (share_above(tones, *next + 2 * near) > kLeastPicture &&
        may_be_base(cells, tones, *first, *next, near) &&
        film_within_light(tones, {*first, near, *next, near_of(tonality.sigma_of(*next))})) {
      tones.bare = first;
      tones.clear = next;
      tones.clear_sigma = tonality.sigma_of(*next);
      return;
    }
  }
  if (tones.mounted || (light_known && std::abs(*first) < film_facts::kBaseStep.least)) {
    tones.bare = first;
    return;
  }
  tones.clear = first;
  tones.clear_sigma = sigma;
}

/// Light over a scan may differ by this density from one end to the other, less or more: a fifth
/// less light (judgement). With more reach clear film of one end would be taken for bare light of
/// the other.
constexpr double kMostUneven = 0.10;
/// Once a plane is taken out, what is left of fall-off about each tone; twice, with less the second
/// time (judgement).
constexpr double kLeftUneven[] = {0.04, 0.03};

/// Takes the light's fall-off out of the densities, as far as one or two tones show it.
void flatten(FilmTones& tones, double below, double above, FallOffShape shape) {
  std::vector<ToneSample> samples;
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const std::size_t i = tones.index(x, y);
      if (tones.kind[i] == AreaKind::mask || tones.clipped[i]) continue;
      const double d = tones.density[i];
      auto near = [&](const std::optional<double>& tone) {
        return tone && d > *tone - below && d < *tone + above;
      };
      if (near(tones.bare)) {
        samples.push_back({x + 0.5, y + 0.5, tones.density[i], 0});
      } else if (near(tones.clear)) {
        samples.push_back({x + 0.5, y + 0.5, tones.density[i], 1});
      }
    }
  }
  const LightFallOff surface = fit_fall_off(samples, tones.width, tones.height, shape);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      tones.density[tones.index(x, y)] -= static_cast<float>(surface.at(x + 0.5, y + 0.5));
    }
  }
}

/// Whether what is denser than a tone lies in two or more plain rectangles longer than any picture:
/// pieces of film without frames, and then the tone is bare light.
bool lies_in_long_pieces(const FilmTones& tones, double tone) {
  constexpr double kDenser = 0.05;             // density; more than a tone's own spread
  constexpr double kLongerThanPictures = 3.5;  // times as long as wide; 60x170 is 3.0
  constexpr double kFilled = 0.85;      // of its rectangle; what is round or ragged is no film
  constexpr double kLeastPiece = 0.01;  // of the scan
  constexpr double kNearlyAll = 0.8;    // of what is denser (all judgement)
  const cv::Mat1b denser = cells_where(tones, [&](std::size_t i) {
    return tones.kind[i] == AreaKind::picture && tones.density[i] > tone + kDenser;
  });
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(denser, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  double all = 0;
  double in_pieces = 0;
  int pieces = 0;
  for (const std::vector<cv::Point>& contour : contours) {
    const double area = cv::contourArea(contour);
    all += area;
    const cv::Size2f box = cv::minAreaRect(contour).size;
    const double longer = std::max(box.width, box.height);
    const double shorter = std::max(1.0F, std::min(box.width, box.height));
    if (area < kLeastPiece * static_cast<double>(denser.total()) ||
        longer < kLongerThanPictures * shorter || area < kFilled * longer * shorter) {
      continue;
    }
    in_pieces += area;
    ++pieces;
  }
  return pieces >= 2 && in_pieces > kNearlyAll * all;
}

}  // namespace

FilmTones find_tones(const decode::BlockImage& blocks, bool light_known) {
  FilmTones tones;
  const LightCells cells = quiet_cells(blocks);
  tones.width = cells.width;
  tones.height = cells.height;
  tones.step = cells.step;
  tones.clipped = cells.clipped;
  tones.density = mean_density(cells);
  tones.kind.assign(tones.density.size(), AreaKind::picture);
  mark_mask(tones);

  tones.clear = Tonality(tones).peak_from(-10);
  if (!tones.clear) return tones;
  flatten(tones, kMostUneven, kMostUneven / 2, FallOffShape::plane);
  name_bright_tones(cells, tones, light_known);
  for (const double reach : kLeftUneven) {
    flatten(tones, reach, reach, FallOffShape::quadratic);
    name_bright_tones(cells, tones, light_known);
  }

  if (tones.clear && !tones.bare && lies_in_long_pieces(tones, *tones.clear)) {
    tones.bare = tones.clear;
    tones.clear.reset();
  }
  // Clear film is what lies within four spreads of its tone, within bounds of density for scans
  // that are very quiet or very rough; without clear film bare light ends this far above its own
  // (judgement).
  constexpr double kClearSigmas = 4;
  constexpr double kLeastReach = 0.025;
  constexpr double kMostReach = 0.08;
  constexpr double kBareReach = 0.05;
  const double reach = std::clamp(kClearSigmas * tones.clear_sigma, kLeastReach, kMostReach);
  const double bare_end = tones.bare && tones.clear ? (*tones.bare + *tones.clear) / 2
                          : tones.bare              ? *tones.bare + kBareReach
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

}  // namespace basefog::area

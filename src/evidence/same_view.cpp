// SPDX-License-Identifier: GPL-3.0-or-later
#include "evidence/same_view.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/imgproc.hpp>

#include "numeric/quantile.hpp"

namespace basefog::evidence {
namespace {

/// Two frames of one view keep most of their likeness although toe and shoulder bend densities and
/// people walk through; different views of one place stay below (trials on simulated scenes).
constexpr double kLeastLikeness = 0.85;
/// And of that of their detail, since any two views with sky above are alike in the large; noise
/// and what moved take more of it (the same trials).
constexpr double kLeastDetailLikeness = 0.6;
/// Detail is what is finer than this share of the long side: much larger is fall-off and sky, much
/// smaller is noise on the coarse pictures (judgement).
constexpr double kDetail = 0.04;
/// Long side of the pictures on which views are first compared: a pixel is 0.3 mm of 36
/// (judgement).
constexpr int kCoarseSide = 120;
/// A view taken again by hand moves by less than this share of the long side (judgement); more
/// finds likeness where there is none.
constexpr double kMostShift = 1.0 / 8;
/// Frames of one camera are found a little larger or smaller, where their edges are dark
/// (judgement).
constexpr double kUnlikeSize = 0.03;
/// Places are squares of this share of the long side, as a densitometer's aperture.
constexpr int kPlacesAlong = 72;

/// Mean density of the channels.
cv::Mat gray_density(const density::NegativePicture& picture) {
  cv::Mat sum = cv::Mat::zeros(picture.height, picture.width, CV_32F);
  for (int c = 0; c < picture.channels; ++c) {
    const std::size_t offset = static_cast<std::size_t>(c) * picture.width * picture.height;
    for (int y = 0; y < picture.height; ++y) {
      auto* row = sum.ptr<float>(y);
      const std::uint16_t* from =
          picture.millidensity.data() + offset + static_cast<std::size_t>(y) * picture.width;
      for (int x = 0; x < picture.width; ++x) {
        row[x] += static_cast<float>(from[x]) * 0.001F / static_cast<float>(picture.channels);
      }
    }
  }
  return sum;
}

double correlation(const cv::Mat& a, const cv::Mat& b) {
  cv::Scalar mean_a;
  cv::Scalar mean_b;
  cv::Scalar sigma_a;
  cv::Scalar sigma_b;
  cv::meanStdDev(a, mean_a, sigma_a);
  cv::meanStdDev(b, mean_b, sigma_b);
  const double scale = sigma_a[0] * sigma_b[0];
  if (!(scale > 1e-9)) return 0;
  return (a.dot(b) / static_cast<double>(a.total()) - mean_a[0] * mean_b[0]) / scale;
}

/// Correlation over what both pictures show after a shift.
double likeness(const cv::Mat& a, const cv::Mat& b, int dx, int dy) {
  const cv::Rect in_a = cv::Rect(0, 0, a.cols, a.rows) & cv::Rect(-dx, -dy, b.cols, b.rows);
  if (in_a.width < a.cols / 2 || in_a.height < a.rows / 2) return -1;
  return correlation(a(in_a), b(in_a + cv::Point(dx, dy)));
}

cv::Mat detail_of(const cv::Mat& picture) {
  cv::Mat smooth;
  cv::GaussianBlur(picture, smooth, {}, kDetail * std::max(picture.cols, picture.rows));
  return picture - smooth;
}

cv::Point phase_shift(const cv::Mat& a, const cv::Mat& b) {
  const cv::Rect common = cv::Rect(0, 0, a.cols, a.rows) & cv::Rect(0, 0, b.cols, b.rows);
  cv::Mat window;
  cv::createHanningWindow(window, common.size(), CV_32F);
  const cv::Point2d shift = cv::phaseCorrelate(a(common), b(common), window);
  return {static_cast<int>(std::lround(shift.x)), static_cast<int>(std::lround(shift.y))};
}

/// The best of the shifts near a first guess, by likeness: of detail, since in the large fall-off
/// towards the corners, which does not move with the view, speaks for no shift at all.
cv::Point refined(const cv::Mat& a, const cv::Mat& b, cv::Point guess, int reach) {
  cv::Point best = guess;
  double best_likeness = -2;
  for (int dy = -reach; dy <= reach; ++dy) {
    for (int dx = -reach; dx <= reach; ++dx) {
      const double value = likeness(a, b, guess.x + dx, guess.y + dy);
      if (value > best_likeness) {
        best_likeness = value;
        best = guess + cv::Point(dx, dy);
      }
    }
  }
  return best;
}

/// Mean density of a square, and the spread of density in it. Not the density of its mean
/// transmittance: where a texture is finer than the square, that is below the mean density, the
/// more so the more contrast the texture has on the film, and so most on the frame where the curve
/// is steeper.
struct Place {
  double density = 0;
  double spread = 0;
};
Place read_place(const density::NegativePicture& picture, int channel, int x, int y, int side) {
  const std::size_t plane = static_cast<std::size_t>(channel) * picture.width * picture.height;
  double sum = 0;
  double squares = 0;
  for (int v = y; v < y + side; ++v) {
    for (int u = x; u < x + side; ++u) {
      const double d =
          0.001 * picture.millidensity[plane + static_cast<std::size_t>(v) * picture.width + u];
      sum += d;
      squares += d * d;
    }
  }
  const double n = static_cast<double>(side) * side;
  return {sum / n, std::sqrt(std::max(0.0, squares / n - sum / n * (sum / n)))};
}

struct PlacePair {
  double mean, difference, spread;
};

/// Medians over classes of mean density. Each place of the film stands `alike` times among the
/// places, once a channel that sees it.
void add_classes(std::vector<PlacePair> places, std::size_t layer, int alike,
                 std::vector<DensityPair>& out) {
  // Classes of density wide enough to hold places, narrow enough that a curve is straight in each;
  // a median of fewer places is no surer than one of them (judgement).
  constexpr double kClassWidth = 0.05;
  constexpr std::size_t kLeastPlaces = 12;
  // Where densities change fast within a place, a small error of the shift changes them; the
  // flatter six tenths are kept (judgement).
  constexpr double kFlatShare = 0.6;
  if (places.size() < 2 * kLeastPlaces) return;
  const auto flat =
      places.begin() + static_cast<std::ptrdiff_t>(kFlatShare * static_cast<double>(places.size()));
  std::nth_element(places.begin(), flat, places.end(),
                   [](const PlacePair& a, const PlacePair& b) { return a.spread < b.spread; });
  std::map<int, std::vector<PlacePair>> classes;
  for (auto place = places.begin(); place != flat; ++place) {
    classes[static_cast<int>(std::floor(place->mean / kClassWidth))].push_back(*place);
  }
  for (const auto& [number, members] : classes) {
    if (members.size() < kLeastPlaces) continue;
    std::vector<double> differences;
    double mean = 0;
    for (const PlacePair& member : members) {
      differences.push_back(member.difference);
      mean += member.mean / static_cast<double>(members.size());
    }
    const auto [middle, scatter] = numeric::robust_spread(std::move(differences));
    // Neighbouring places are alike: about half of them count.
    const double sigma = numeric::kMedianOverMean * scatter /
                         std::sqrt(static_cast<double>(members.size()) / (2.0 * alike));
    out.push_back({layer, mean, middle, sigma});
  }
}

bool about_equal(int a, int b) { return std::abs(a - b) <= kUnlikeSize * std::max(a, b); }

double coarse_scale(const density::NegativePicture& picture) {
  return std::min(1.0, static_cast<double>(kCoarseSide) / std::max(picture.width, picture.height));
}

/// The shift on the whole pictures, from one found on coarse ones: on pictures twice as fine each
/// time, a pixel or two about what the last ones said.
cv::Point refined_on_whole(const cv::Mat& a, const cv::Mat& b, cv::Point coarse, double scale) {
  constexpr int kReach = 2;  // pixels; one of the coarser picture
  cv::Point best = coarse;
  while (scale < 1) {
    const double finer = std::min(1.0, 2 * scale);
    best = {static_cast<int>(std::lround(best.x * finer / scale)),
            static_cast<int>(std::lround(best.y * finer / scale))};
    scale = finer;
    cv::Mat scaled_a = a;
    cv::Mat scaled_b = b;
    if (scale < 1) {
      cv::resize(a, scaled_a, {}, scale, scale, cv::INTER_AREA);
      cv::resize(b, scaled_b, {}, scale, scale, cv::INTER_AREA);
    }
    best = refined(scaled_a, scaled_b, best, kReach);
  }
  return best;
}

}  // namespace

ViewSketch sketch_view(const density::NegativePicture& picture) {
  ViewSketch sketch{.picture = &picture, .coarse = {}, .detail = {}};
  if (picture.width < 8 || picture.height < 8) return sketch;
  const double scale = coarse_scale(picture);
  cv::resize(gray_density(picture), sketch.coarse, {}, scale, scale, cv::INTER_AREA);
  sketch.detail = detail_of(sketch.coarse);
  return sketch;
}

std::optional<ViewShift> find_same_view(const ViewSketch& a, const ViewSketch& b) {
  if (a.coarse.empty() || !about_equal(a.picture->width, b.picture->width) ||
      !about_equal(a.picture->height, b.picture->height)) {
    return std::nullopt;
  }
  const int reach = static_cast<int>(kMostShift * std::max(a.coarse.cols, a.coarse.rows));
  cv::Point coarse = phase_shift(a.detail, b.detail);
  if (std::abs(coarse.x) > reach || std::abs(coarse.y) > reach) coarse = {0, 0};
  coarse = refined(a.detail, b.detail, coarse, 1);
  if (likeness(a.coarse, b.coarse, coarse.x, coarse.y) < kLeastLikeness ||
      likeness(a.detail, b.detail, coarse.x, coarse.y) < kLeastDetailLikeness) {
    return std::nullopt;
  }
  const cv::Mat fine_a = gray_density(*a.picture);
  const cv::Mat fine_b = gray_density(*b.picture);
  const cv::Point best =
      refined_on_whole(detail_of(fine_a), detail_of(fine_b), coarse, coarse_scale(*a.picture));
  return ViewShift{best.x, best.y, likeness(fine_a, fine_b, best.x, best.y)};
}

std::vector<DensityPair> paired_densities(const density::FrameMeasurement& a,
                                          const density::FilmBase& base_a,
                                          const density::FrameMeasurement& b,
                                          const density::FilmBase& base_b, const ViewShift& shift,
                                          const film::FilmProfile& film) {
  const density::NegativePicture& first = a.negative;
  const density::NegativePicture& second = b.negative;
  const int side = std::max(2, std::max(first.width, first.height) / kPlacesAlong);
  const int margin = side;  // edges of the frame are blurred and vignetted by the gate
  const int channels = std::min(first.channels, second.channels);
  const bool one_layer = film.layers.size() == 1;
  constexpr double kNoEnd = 6.0;        // of a scan that does not say what it could read
  constexpr double kShortOfEnd = 0.05;  // density from the scan's end on that noise cuts off
  std::vector<DensityPair> pairs;
  std::vector<PlacePair> merged;
  for (int c = 0; c < channels; ++c) {
    const auto channel = static_cast<std::size_t>(c);
    const auto limit = [&](const density::FrameMeasurement& frame) {
      return (channel < frame.densest.size() ? frame.densest[channel].value() : kNoEnd) -
             kShortOfEnd;
    };
    std::vector<PlacePair> places;
    for (int y = margin; y + side + margin <= first.height; y += side) {
      for (int x = margin; x + side + margin <= first.width; x += side) {
        const int u = x + shift.dx;
        const int v = y + shift.dy;
        if (u < margin || v < margin || u + side + margin > second.width ||
            v + side + margin > second.height) {
          continue;
        }
        const Place in_a = read_place(first, c, x, y, side);
        const Place in_b = read_place(second, c, u, v, side);
        if (in_a.density > limit(a) || in_b.density > limit(b)) continue;
        const double net_a = in_a.density - base_a.density.at(channel).value();
        const double net_b = in_b.density - base_b.density.at(channel).value();
        places.push_back({(net_a + net_b) / 2, net_b - net_a, std::max(in_a.spread, in_b.spread)});
      }
    }
    // Channels of a gray film see the same silver; a colour film scanned as gray shows green most.
    if (one_layer) {
      merged.insert(merged.end(), places.begin(), places.end());
    } else {
      add_classes(std::move(places), channels == 1 ? 1 : channel, 1, pairs);
    }
  }
  if (one_layer) add_classes(std::move(merged), 0, channels, pairs);
  return pairs;
}

}  // namespace basefog::evidence

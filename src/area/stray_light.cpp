// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/stray_light.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "basefog/core/film_facts.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// Half widths over which light strays near where it is, in short sides of a frame: 2 to 8 mm for
/// 24 mm (common practice). The rest goes evenly over the scan.
constexpr std::array<double, 3> kReaches = {0.09, 0.18, 0.34};
/// More stray light than this is no flare but something else (judgement).
constexpr double kMostShare = 0.06;
/// Fewer cells say nothing of a surface and a slope (judgement).
constexpr std::size_t kLeastCells = 60;
/// Clear film must see near light differ by this much for a slope to be found, in its own light;
/// the slope must be this many sigmas, and as much again that goes evenly is known to this share of
/// it (judgement).
constexpr double kLeastRange = 0.15;
constexpr double kLeastSigmas = 3;
constexpr double kEvenlySigma = 0.4;
/// What lies farther off than so many median residuals is left out: dust, letters (judgement).
constexpr double kFarOff = 4;
/// Light from here on may be at the white limit, where a tenth of the pixels are (of 255 a block).
constexpr float kNearWhite = 0.97F;
constexpr int kWhitePixels = 25;
/// Scans with more blocks a side are summed to cells of two by two: time.
constexpr int kManyBlocks = 800;
/// Light on cells of a few blocks, with the kind of each.
struct Cells {
  int step = 1;
  std::vector<cv::Mat1f> light;
  cv::Mat1b kind;   ///< as AreaKind where all blocks agree with their neighbours, else kMixed
  cv::Mat1b white;  ///< at the white limit in some channel
};
constexpr std::uint8_t kMixed = 255;  // of no AreaKind

Cells cells_of(const decode::BlockImage& blocks, const std::vector<AreaKind>& kind) {
  Cells cells;
  const bool large = std::max(blocks.width, blocks.height) > kManyBlocks;
  cells.step = large && std::min(blocks.width, blocks.height) > 1 ? 2 : 1;
  const int width = blocks.width / cells.step;
  const int height = blocks.height / cells.step;
  cells.kind.create(height, width);
  cells.white.create(height, width);
  cells.white = 0;
  for (int c = 0; c < blocks.channels; ++c) {
    cv::Mat1f plane(height, width);
    for (int y = 0; y < height; ++y) {
      for (int x = 0; x < width; ++x) {
        float sum = 0;
        int clipped = 0;
        for (int k = 0; k < cells.step * cells.step; ++k) {
          const std::size_t i =
              blocks.index(c, x * cells.step + k % cells.step, y * cells.step + k / cells.step);
          sum += blocks.mean[i];
          clipped += blocks.clipped[i];
        }
        plane(y, x) = sum / static_cast<float>(cells.step * cells.step);
        if (clipped > kWhitePixels * cells.step * cells.step) cells.white(y, x) = 255;
      }
    }
    cells.light.push_back(plane);
  }
  const auto at = [&](int x, int y) {
    return kind[static_cast<std::size_t>(std::min(y * cells.step, blocks.height - 1)) *
                    blocks.width +
                std::min(x * cells.step, blocks.width - 1)];
  };
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      bool same = true;
      for (int dy = -2; dy <= 2 && same; ++dy) {
        for (int dx = -2; dx <= 2 && same; ++dx) {
          same =
              at(std::clamp(x + dx, 0, width - 1), std::clamp(y + dy, 0, height - 1)) == at(x, y);
        }
      }
      cells.kind(y, x) = same ? static_cast<std::uint8_t>(at(x, y)) : kMixed;
    }
  }
  return cells;
}

std::vector<cv::Point> cells_of_kind(const Cells& cells, AreaKind kind) {
  std::vector<cv::Point> out;
  for (int y = 0; y < cells.kind.rows; ++y) {
    for (int x = 0; x < cells.kind.cols; ++x) {
      if (cells.kind(y, x) == static_cast<std::uint8_t>(kind)) out.emplace_back(x, y);
    }
  }
  return out;
}

/// Bare light at the white limit is brighter than it reads: as much as the usual base is dense.
void restore_white(Cells& cells, const std::vector<cv::Point>& clear) {
  if (clear.empty()) return;
  for (std::size_t c = 0; c < cells.light.size(); ++c) {
    double sum = 0;
    for (const cv::Point& p : clear) sum += cells.light[c](p);
    const double base =
        cells.light.size() == 3 ? film_facts::kMaskedBase[c] : film_facts::kGrayBase;
    const auto bare =
        static_cast<float>(sum / static_cast<double>(clear.size()) * std::pow(10, base));
    for (int y = 0; y < cells.white.rows; ++y) {
      for (int x = 0; x < cells.white.cols; ++x) {
        float& light = cells.light[c](y, x);
        if (cells.white(y, x) != 0 && light > kNearWhite) light = std::max(light, bare);
      }
    }
  }
}

/// How stray light spreads: a share evenly, a share near by.
struct Spread {
  double evenly = 0;
  double near = 0;
  double sigma = 0;  ///< of both together
  double residual = 1e9;
};

/// Least squares of light read at some cells against a constant, the light near by, and where
/// `lamp` is set a surface of second order; what does not fit is left out, twice.
std::optional<Spread> fit(const cv::Mat1f& light, const cv::Mat1f& near,
                          std::vector<cv::Point> where, bool lamp) {
  constexpr int kMostTerms = 7;
  using Row = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostTerms, 1>;  // not on the heap
  const int terms = lamp ? kMostTerms : 2;
  Eigen::VectorXd solution;
  Eigen::MatrixXd normal;
  double residual = 0;
  for (int round = 0; round < 3; ++round) {
    if (where.size() < kLeastCells) return std::nullopt;
    normal = Eigen::MatrixXd::Identity(terms, terms) * 1e-9;
    Eigen::VectorXd right = Eigen::VectorXd::Zero(terms);
    const auto row_of = [&](const cv::Point& p) {
      Row row(terms);
      row(0) = 1;
      row(1) = near(p);
      if (lamp) {
        const double x = 2.0 * p.x / light.cols - 1;
        const double y = 2.0 * p.y / light.rows - 1;
        row.tail<5>() << x, y, x * x, x * y, y * y;
      }
      return row;
    };
    for (const cv::Point& p : where) {
      const Row row = row_of(p);
      normal.noalias() += row * row.transpose();
      right += row * static_cast<double>(light(p));
    }
    solution = normal.ldlt().solve(right);
    std::vector<double> off;
    off.reserve(where.size());
    for (const cv::Point& p : where) off.push_back(std::abs(light(p) - row_of(p).dot(solution)));
    residual = numeric::median(off);
    std::vector<cv::Point> kept;
    for (std::size_t i = 0; i < where.size(); ++i) {
      if (off[i] <= kFarOff * residual + 1e-9) kept.push_back(where[i]);
    }
    where = std::move(kept);
  }
  Spread out;
  out.near = solution(1);
  out.evenly = solution(0) / std::max(cv::mean(light)[0], 1e-6);
  // Neighbouring cells share grain and dust: one in twenty counts.
  constexpr double kIndependent = 0.05;
  out.sigma = numeric::kSigmaPerMad * residual * std::sqrt(normal.inverse()(1, 1) / kIndependent);
  out.residual = residual;
  return out;
}

/// The light near each cell, for each of kReaches, made when it is first asked for: most scans show
/// no stray light, and blurring over a third of a frame takes longer than finding that out.
class NearLight {
 public:
  /// cells must live as long; side: of a frame, in cells.
  NearLight(const Cells& cells, double side) : cells_(cells), side_(side) {}

  const cv::Mat1f& of(std::size_t reach, std::size_t channel) {
    std::vector<cv::Mat1f>& channels = blurred_.at(reach);
    channels.resize(cells_.light.size());
    cv::Mat1f& near = channels[channel];
    if (near.empty()) {
      cv::GaussianBlur(cells_.light[channel], near, {0, 0},
                       std::max(0.8, kReaches.at(reach) * side_), 0, cv::BORDER_REPLICATE);
    }
    return near;
  }

 private:
  const Cells& cells_;
  double side_;
  std::array<std::vector<cv::Mat1f>, kReaches.size()> blurred_;
};

/// The spread that explains the cells of one kind best, over the channels and reaches.
std::optional<Spread> best_fit(const Cells& cells, NearLight& near,
                               const std::vector<cv::Point>& where, bool lamp, std::size_t& reach) {
  std::optional<Spread> best;
  if (where.size() < kLeastCells) return best;
  for (std::size_t r = 0; r < kReaches.size(); ++r) {
    Spread sum;
    double weights = 0;
    sum.residual = 0;
    for (std::size_t c = 0; c < cells.light.size(); ++c) {
      const auto one = fit(cells.light[c], near.of(r, c), where, lamp);
      if (!one) return std::nullopt;
      const double weight = 1 / (one->sigma * one->sigma + 1e-8);
      sum.evenly += weight * one->evenly;
      sum.near += weight * one->near;
      sum.residual += one->residual;
      weights += weight;
    }
    sum.evenly /= weights;
    sum.near /= weights;
    sum.sigma = std::sqrt(1 / weights);
    if (best && sum.residual >= best->residual) continue;
    best = sum;
    reach = r;
  }
  return best;
}

/// The darkest that is read anywhere but in a speck, per channel: stray light is no more there.
double darkest(const cv::Mat1f& light) {
  constexpr double kSpeck = 0.002;  // of the cells
  return numeric::quantile(std::vector<float>(light.begin(), light.end()), kSpeck);
}

/// Light that strays on a scan without a mask: what clear film shows of that near by; as much again
/// may go evenly, if the darkest places leave room for it.
std::optional<Spread> from_clear_film(const Cells& cells, NearLight& near,
                                      const std::vector<cv::Point>& clear, std::size_t& reach) {
  if (clear.size() < kLeastCells) return std::nullopt;
  std::vector<float> seen;
  double own = 0;
  for (const cv::Point& p : clear) {
    seen.push_back(near.of(0, 0)(p));
    own += cells.light[0](p);
  }
  own /= static_cast<double>(seen.size());
  if (numeric::quantile(seen, 0.9) - numeric::quantile(seen, 0.1) < kLeastRange * own)
    return std::nullopt;
  std::optional<Spread> spread = best_fit(cells, near, clear, true, reach);
  if (!spread || spread->near < kLeastSigmas * spread->sigma) return std::nullopt;
  double room = 1;
  for (const cv::Mat1f& light : cells.light) {
    room = std::min(room, darkest(light) / std::max(cv::mean(light)[0], 1e-6));
  }
  spread->evenly = std::min(spread->near, room);
  // Anything from none to twice as much may go evenly.
  spread->sigma = std::hypot(spread->sigma, kEvenlySigma * spread->evenly);
  return spread;
}

double short_side(const FilmLayout& layout) {
  double least = 1e9;
  for (const FrameRegion& frame : layout.frames) {
    least = std::min({least, frame.width, frame.height});
  }
  return least;
}

}  // namespace

double StrayLight::at(int channel, double x, double y) const {
  if (width == 0) return 0;
  const double u = std::clamp(x / cell_side - 0.5, 0.0, width - 1.0);
  const double v = std::clamp(y / cell_side - 0.5, 0.0, height - 1.0);
  const int x0 = std::min(static_cast<int>(u), std::max(0, width - 2));
  const int y0 = std::min(static_cast<int>(v), std::max(0, height - 2));
  const int x1 = std::min(x0 + 1, width - 1);
  const int y1 = std::min(y0 + 1, height - 1);
  const float* plane = light.data() + static_cast<std::size_t>(channel) * width * height;
  const auto value = [&](int cx, int cy) {
    return static_cast<double>(plane[static_cast<std::size_t>(cy) * width + cx]);
  };
  const double s = u - x0;
  const double t = v - y0;
  return (1 - t) * ((1 - s) * value(x0, y0) + s * value(x1, y0)) +
         t * ((1 - s) * value(x0, y1) + s * value(x1, y1));
}

double StrayLight::corrected(double light_read, int channel, double x, double y) const {
  if (width == 0) return light_read;
  constexpr double kLeastLeft = 0.25;  // of what was read: a guess must not turn dark into nothing
  return std::max(light_read - at(channel, x, y), kLeastLeft * light_read) / (1 - share);
}

StrayLight find_stray_light(const scan::Scan& scan, const FilmLayout& layout) {
  Cells cells = cells_of(scan.blocks, layout.kind);
  const std::vector<cv::Point> mask = cells_of_kind(cells, AreaKind::mask);
  const std::vector<cv::Point> clear = cells_of_kind(cells, AreaKind::clear_film);
  restore_white(cells, clear);
  const double cell = scan.blocks.block_side * cells.step;
  NearLight near(cells, short_side(layout) / cell);
  std::size_t reach = 0;
  std::optional<Spread> spread = best_fit(cells, near, mask, false, reach);
  if (!spread) spread = from_clear_film(cells, near, clear, reach);
  if (!spread) return {};
  spread->near = std::max(0.0, spread->near);
  spread->evenly = std::max(0.0, spread->evenly);
  const double share = spread->near + spread->evenly;
  if (share <= 0 || share > kMostShare) return {};

  StrayLight stray{.share = share,
                   .share_sigma = spread->sigma,
                   .width = cells.kind.cols,
                   .height = cells.kind.rows,
                   .cell_side = cell,
                   .light = {}};
  for (std::size_t c = 0; c < cells.light.size(); ++c) {
    const auto evenly = static_cast<float>(spread->evenly * cv::mean(cells.light[c])[0]);
    for (const float light : near.of(reach, c)) {
      stray.light.push_back(evenly + static_cast<float>(spread->near) * light);
    }
  }
  return stray;
}

}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/faint_steps.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::area {
namespace {

/// Cells denser than this above clear film are edge printing, dust or plainly picture.
constexpr double kPlain = 0.06;
/// Lines on each side of a step that are averaged.
constexpr int kWidth = 5;
/// Least step, and in standard deviations of its noise.
constexpr double kLeastStep = 0.002;
constexpr double kLeastSigmas = 6;
constexpr std::size_t kMost = 3;

struct Line {
  double sum = 0;
  double count = 0;
};

/// Sums of density along lines parallel to a side, one a cell across.
std::vector<Line> sums_along(const FilmTones& tones, const CellWindow& window, const Turn& turn,
                             Side side, double first) {
  std::vector<Line> lines;
  for (int y = window.y0; y < window.y1; ++y) {
    for (int x = window.x0; x < window.x1; ++x) {
      const AreaKind kind = tones.kind[tones.index(x, y)];
      const double above = tones.at(x, y) - *tones.clear;
      if (kind == AreaKind::mask || kind == AreaKind::bare_light || std::abs(above) > kPlain) {
        continue;
      }
      const auto k =
          static_cast<std::size_t>(std::max(0.0, turn.across(x + 0.5, y + 0.5, side) - first));
      if (k >= lines.size()) lines.resize(k + 1);
      lines[k].sum += above;
      lines[k].count += 1;
    }
  }
  return lines;
}

}  // namespace

std::vector<FaintStep> find_faint_steps(const FilmTones& tones, const CellWindow& window,
                                        const Turn& turn, Side side) {
  std::vector<FaintStep> out;
  if (!tones.clear) return out;
  double first = 1e9;
  for (const double x : {window.x0, window.x1}) {
    for (const double y : {window.y0, window.y1}) first = std::min(first, turn.across(x, y, side));
  }
  first = std::floor(first);
  std::vector<Line> lines = sums_along(tones, window, turn, side, first);
  const bool from_high = side == kRight || side == kBottom;
  if (from_high) std::reverse(lines.begin(), lines.end());

  // A line that is cut short by mask or picture does not count.
  const double least = 0.25 * (upright(side) ? window.height() : window.width());
  std::vector<double> step(lines.size(), 0.0);
  std::vector<double> sigmas(lines.size(), 0.0);
  for (std::size_t i = kWidth; i + kWidth < lines.size(); ++i) {
    Line outer;
    Line inner;
    for (std::size_t k = 1; k <= kWidth; ++k) {
      // The step itself may lie across one line: it is left out.
      const Line& o = lines[i - k];
      const Line& n = lines[i + k];
      if (o.count < least || n.count < least) outer.count = -1e9;
      outer.sum += o.sum;
      outer.count += o.count;
      inner.sum += n.sum;
      inner.count += n.count;
    }
    if (outer.count <= 0) continue;
    step[i] = inner.sum / inner.count - outer.sum / outer.count;
    const double noise = tones.clear_sigma * std::sqrt(1 / inner.count + 1 / outer.count);
    sigmas[i] = step[i] / noise;
  }
  for (std::size_t i = kWidth; i + kWidth < step.size(); ++i) {
    if (step[i] < kLeastStep || sigmas[i] < kLeastSigmas) continue;
    const auto from = step.begin() + static_cast<std::ptrdiff_t>(i) - kWidth;
    if (*std::max_element(from, from + 2 * kWidth + 1) > step[i]) continue;
    const double depth = static_cast<double>(i) + 0.5;
    const double at = from_high ? first + static_cast<double>(lines.size()) - depth : first + depth;
    out.push_back({at, step[i]});
  }
  std::sort(out.begin(), out.end(),
            [](const FaintStep& a, const FaintStep& b) { return a.height > b.height; });
  if (out.size() > kMost) out.resize(kMost);
  return out;
}

}  // namespace basefog::area

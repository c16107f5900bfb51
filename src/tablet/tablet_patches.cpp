// SPDX-License-Identifier: GPL-3.0-or-later
// Finds the patches of a step tablet on a scan.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "basefog/core/error.hpp"
#include "basefog/tablet/scanner_calibration.hpp"
#include "numeric/quantile.hpp"
#include "tablet/tablet_lattice.hpp"

namespace basefog::tablet {
namespace {

// Limits without a reason are judgement, held by the tablet tests on drawn tablets.

/// Added to codes before the logarithm: below it there is only a scanner's noise.
constexpr double kCodeFloor = 1e-3;
/// Long side, in samples, of the reduced picture that is searched first.
constexpr int kSearchSide = 400;
/// Part of a patch that is measured, along and across the tablet.
constexpr double kMeasuredPart = 0.5;

struct Point {
  double x = 0;
  double y = 0;
};

/// The scan's levels, turned so that the tablet would fall from left to right.
class View {
 public:
  View(const decode::BlockImage& blocks, bool transposed, bool mirrored)
      : transposed_(transposed),
        mirrored_(mirrored),
        width_(transposed ? blocks.height : blocks.width),
        height_(transposed ? blocks.width : blocks.height),
        level_(static_cast<std::size_t>(width_) * height_) {
    for (int y = 0; y < height_; ++y) {
      for (int x = 0; x < width_; ++x) {
        const int across = mirrored ? width_ - 1 - x : x;
        double code = 0;
        for (int c = 0; c < blocks.channels; ++c) {
          code += blocks.mean[transposed ? blocks.index(c, y, across) : blocks.index(c, across, y)];
        }
        level_[at(x, y)] = std::log10(std::max(0.0, code / blocks.channels) + kCodeFloor);
      }
    }
  }
  int width() const { return width_; }
  int height() const { return height_; }
  /// Nearest sample; places outside repeat the edge.
  double level(double x, double y) const {
    const int column = std::clamp(static_cast<int>(std::floor(x)), 0, width_ - 1);
    const int row = std::clamp(static_cast<int>(std::floor(y)), 0, height_ - 1);
    return level_[at(column, row)];
  }
  /// A place of the view on the scan, in blocks.
  Point on_scan(Point p) const {
    if (mirrored_) p.x = width_ - p.x;
    return transposed_ ? Point{p.y, p.x} : p;
  }
  bool transposed() const { return transposed_; }
  /// Angle on the scan, clockwise, of what is turned clockwise by this angle in the view.
  double angle_on_scan(double angle) const { return transposed_ == mirrored_ ? angle : -angle; }

 private:
  std::size_t at(int x, int y) const { return static_cast<std::size_t>(y) * width_ + x; }

  bool transposed_, mirrored_;
  int width_, height_;
  std::vector<double> level_;
};

/// A tablet in a view, in blocks: u runs along it from the first patch's edge, v across from its
/// middle.
struct Strip {
  TabletLattice lattice;
  Point origin;
  double angle = 0;        ///< radians, clockwise
  double half_height = 1;  ///< across
  Point at(double u, double v) const {
    return {origin.x + u * std::cos(angle) - v * std::sin(angle),
            origin.y + u * std::sin(angle) + v * std::cos(angle)};
  }
};

/// Levels along the strip's direction from u = from, averaged across v0..v1.
std::vector<double> profile_along(const View& view, const Strip& strip, double from, int count,
                                  double v0, double v1) {
  const int rows = std::max(1, static_cast<int>(std::lround(v1 - v0)));
  std::vector<double> profile(static_cast<std::size_t>(std::max(count, 0)));
  for (std::size_t i = 0; i < profile.size(); ++i) {
    for (int r = 0; r < rows; ++r) {
      const Point p =
          strip.at(from + static_cast<double>(i) + 0.5, v0 + (v1 - v0) * (r + 0.5) / rows);
      profile[i] += view.level(p.x, p.y) / rows;
    }
  }
  return profile;
}

struct RowFind {
  double row = 0;         ///< in blocks
  TabletLattice lattice;  ///< in blocks
};

/// Looks along rows of the view, each averaged over a few blocks.
std::vector<RowFind> search_rows(const View& view, int steps) {
  const int reduce =
      std::max(1, (std::max(view.width(), view.height()) + kSearchSide - 1) / kSearchSide);
  std::vector<RowFind> finds;
  std::vector<double> levels(static_cast<std::size_t>(view.width() / reduce));
  for (int top = 0; top + reduce <= view.height(); top += reduce) {
    std::ranges::fill(levels, 0.0);
    for (std::size_t i = 0; i < levels.size(); ++i) {
      for (int y = 0; y < reduce; ++y) {
        for (int x = 0; x < reduce; ++x) {
          levels[i] += view.level(static_cast<double>(i * reduce + x), top + y);
        }
      }
      levels[i] /= reduce * reduce;
    }
    LatticeSearch search;
    search.steps = steps;
    auto lattice = find_lattice(levels, search);
    if (!lattice) continue;
    lattice->start *= reduce;
    lattice->pitch *= reduce;
    finds.push_back({top + 0.5 * reduce, *lattice});
  }
  return finds;
}

/// Rows that agree with the best one on the pitch and score well: the tablet's rows.
std::vector<RowFind> rows_of_tablet(const std::vector<RowFind>& finds) {
  constexpr double kSamePitch = 0.04;  // of the pitch: a cell over a tablet of 21
  constexpr double kLeastScore = 0.2;  // of the best: rows that graze the tablet score less
  const RowFind best =
      *std::ranges::max_element(finds, {}, [](const RowFind& f) { return f.lattice.score; });
  std::vector<RowFind> rows;
  for (const RowFind& find : finds) {
    const bool same_pitch = std::abs(find.lattice.pitch / best.lattice.pitch - 1) < kSamePitch;
    const bool same_place = std::abs(find.lattice.start - best.lattice.start) < best.lattice.pitch;
    if (same_pitch && same_place && find.lattice.score > kLeastScore * best.lattice.score) {
      rows.push_back(find);
    }
  }
  return rows;
}

/// First guess of the strip from the middle of its rows, turned about its middle by an angle.
Strip first_strip(const std::vector<RowFind>& rows, int steps, double angle) {
  const RowFind& middle = rows[rows.size() / 2];
  Strip strip;
  strip.lattice = middle.lattice;
  strip.angle = angle;
  const double half = middle.lattice.pitch * steps / 2;
  strip.origin = {middle.lattice.start + half * (1 - std::cos(angle)),
                  middle.row - half * std::sin(angle)};
  strip.half_height = std::max(1.0, 0.5 * (rows.back().row - rows.front().row));
  return strip;
}

/// Looks again at full resolution along the slanted strip; false where nothing is there.
bool refine_along(const View& view, Strip& strip, int steps) {
  const double pitch = strip.lattice.pitch;
  constexpr double kMargin = 1.5;     // pitches at either end: one cell more, and half
  constexpr double kInside = 0.7;     // of the half height: clear of the edges
  constexpr double kOffPitch = 0.03;  // what the rough search may be off in pitch, as a share,
  constexpr double kOffPlace = 0.6;   // and in place, in pitches
  const double margin = kMargin * pitch;
  const auto count = static_cast<int>(std::ceil(steps * pitch + 2 * margin));
  // Only what lies on the scan, so that the scan's end counts as the tablet's.
  const double first = std::max(-margin, -strip.origin.x / std::cos(strip.angle));
  const double last =
      std::min(first + count, (view.width() - strip.origin.x) / std::cos(strip.angle));
  const std::vector<double> profile =
      profile_along(view, strip, first, static_cast<int>(std::floor(last - first)),
                    -kInside * strip.half_height, kInside * strip.half_height);
  LatticeSearch search;
  search.steps = steps;
  search.least_pitch = (1 - kOffPitch) * pitch;
  search.most_pitch = (1 + kOffPitch) * pitch;
  search.least_start = -first - kOffPlace * pitch;
  search.most_start = -first + kOffPlace * pitch;
  search.fineness = 4;
  const auto lattice = find_lattice(profile, search);
  if (!lattice) return false;
  strip.origin = strip.at(first + lattice->start, 0);
  strip.lattice = *lattice;
  return true;
}

/// The strip at the angle that shows it best: the middle of those that are nearly as good.
std::optional<Strip> best_turned(const View& view, const std::vector<RowFind>& rows, int steps) {
  constexpr double kMostTurned = 4 * std::numbers::pi / 180;  // a tablet laid down by hand
  constexpr int kAngles = 33;                                 // a quarter of a degree apart
  constexpr double kAsGood = 0.6;  // of the best score, as in tablet_lattice
  std::vector<Strip> strips;
  for (int i = 0; i < kAngles; ++i) {
    const double angle = kMostTurned * (2.0 * i / (kAngles - 1) - 1);
    Strip strip = first_strip(rows, steps, angle);
    if (refine_along(view, strip, steps)) strips.push_back(strip);
  }
  if (strips.empty()) return std::nullopt;
  const double best =
      std::ranges::max(strips, {}, [](const Strip& s) { return s.lattice.score; }).lattice.score;
  double angles = 0;
  int count = 0;
  for (const Strip& strip : strips) {
    if (strip.lattice.score < kAsGood * best) continue;
    angles += strip.angle;
    ++count;
  }
  Strip strip = first_strip(rows, steps, angles / count);
  if (!refine_along(view, strip, steps)) return std::nullopt;
  return strip;
}

/// The middle levels of cells first..last - 1 at a distance v across.
std::vector<double> levels_at(const View& view, const Strip& strip, int first, int last, double v) {
  constexpr std::array kPlaces = {0.3, 0.4, 0.5, 0.6, 0.7};  // of a cell: clear of its edges
  std::vector<double> levels;
  for (int k = first; k < last; ++k) {
    double sum = 0;
    for (const double place : kPlaces) {
      const Point p = strip.at((k + place) * strip.lattice.pitch, v);
      sum += view.level(p.x, p.y);
    }
    levels.push_back(sum / kPlaces.size());
  }
  return levels;
}

struct Reach {
  double from = 0;
  double to = 0;
  double middle() const { return (from + to) / 2; }
};

/// How far cells first..last - 1 reach across: as far as most of them keep their levels.
Reach reach_across(const View& view, const Strip& strip, int first, int last) {
  constexpr double kSameLevel = 0.3;  // of a step
  constexpr double kFarthest = 4;     // pitches either way: patches are no higher
  const std::vector<double> middle = levels_at(view, strip, first, last, 0);
  const auto inside = [&](double v) {
    const std::vector<double> there = levels_at(view, strip, first, last, v);
    std::vector<double> off;
    for (std::size_t k = 0; k < there.size(); ++k) off.push_back(std::abs(there[k] - middle[k]));
    return numeric::median(off) < kSameLevel * strip.lattice.step;
  };
  const double farthest = kFarthest * strip.lattice.pitch;
  Reach reach;
  while (reach.from > -farthest && inside(reach.from - 1)) reach.from -= 1;
  while (reach.to < farthest && inside(reach.to + 1)) reach.to += 1;
  return reach;
}

/// Centres the strip on its patches: the lighter thirds, which stand out from any surround, give
/// the angle, where dust on one of their cells does not make it; then both the width.
void refine_across(const View& view, Strip& strip, int steps) {
  constexpr int kFewestCells = 3;
  const int third = steps / 3;
  if (third >= kFewestCells) {
    const double light = reach_across(view, strip, 0, third).middle();
    const double middle = reach_across(view, strip, third, 2 * third).middle();
    strip.origin = strip.at(0, light - (middle - light) / 2);
    strip.angle += std::atan((middle - light) / (third * strip.lattice.pitch));
  }
  const Reach reach = reach_across(view, strip, 0, std::max(kFewestCells, 2 * third));
  strip.origin = strip.at(0, reach.middle());
  strip.half_height = std::max(1.0, (reach.to - reach.from) / 2);
}

std::vector<PatchRegion> regions_of(const View& view, const Strip& strip, int steps, int side) {
  std::vector<PatchRegion> regions;
  const double along = kMeasuredPart * strip.lattice.pitch * side;
  const double across = kMeasuredPart * 2 * strip.half_height * side;
  for (int k = 0; k < steps; ++k) {
    const Point p = view.on_scan(strip.at((k + 0.5) * strip.lattice.pitch, 0));
    PatchRegion region;
    region.centre_x = p.x * side;
    region.centre_y = p.y * side;
    region.width = view.transposed() ? across : along;
    region.height = view.transposed() ? along : across;
    region.angle_degrees = view.angle_on_scan(strip.angle) * 180 / std::numbers::pi;
    regions.push_back(region);
  }
  return regions;
}

struct StripFind {
  Strip strip;
  double score = 0;
};

/// The strip of the best rows that holds when looked at again.
std::optional<StripFind> find_strip(const View& view, int steps) {
  constexpr int kTries = 4;  // rows that graze an edge may score well
  std::vector<RowFind> finds = search_rows(view, steps);
  for (int i = 0; i < kTries && !finds.empty(); ++i) {
    const std::vector<RowFind> rows = rows_of_tablet(finds);
    std::optional<Strip> strip = best_turned(view, rows, steps);
    if (strip) {
      refine_across(view, *strip, steps);
      // Rows count too: a tablet is more than one line across the scan.
      if (refine_along(view, *strip, steps)) {
        return StripFind{*strip, strip->lattice.score * static_cast<double>(rows.size())};
      }
    }
    std::erase_if(finds, [&](const RowFind& find) {
      return std::ranges::any_of(rows, [&](const RowFind& row) { return row.row == find.row; });
    });
  }
  return std::nullopt;
}

[[noreturn]] void refuse(const scan::Scan& scan, std::string problem, std::string next_step) {
  throw InputError(ErrorCode::malformed, scan.path, std::move(problem), std::move(next_step));
}

}  // namespace

std::vector<PatchRegion> find_tablet_patches(const scan::Scan& scan, int steps) {
  constexpr int kFewestSteps = 8;  // edges, borders and dust make steps of fewer
  if (steps < kFewestSteps) {
    refuse(scan, fmt::format("a tablet of {} patches cannot be told from other things", steps),
           "give the patches' positions with --patches, or use a tablet of eight steps or more");
  }
  const decode::BlockImage& blocks = scan.blocks;
  std::vector<PatchRegion> best;
  double best_score = 0;
  for (const bool transposed : {false, true}) {
    for (const bool mirrored : {false, true}) {
      const View view(blocks, transposed, mirrored);
      const auto found = find_strip(view, steps);
      if (!found || found->score <= best_score) continue;
      best_score = found->score;
      best = regions_of(view, found->strip, steps, blocks.block_side);
    }
  }
  if (best.empty()) {
    refuse(scan, fmt::format("no row or column of {} patches of rising density was found", steps),
           "scan the whole tablet, straight and on a surround brighter or darker than its end, "
           "check the number of steps, or give the patches' positions");
  }
  return best;
}

}  // namespace basefog::tablet

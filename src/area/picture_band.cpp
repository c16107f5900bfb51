// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/picture_band.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// Long edges tried a side: pictures' own, perforations, edge printing, the film's end (judgement).
constexpr std::size_t kMostLongEdges = 8;
/// Points that make a line of edges; fewer lie on one by chance (judgement).
constexpr double kLeastPoints = 5;
struct Peak {
  double position;
  double count;
};

/// The strongest lines of edges within a part of the film, across.
std::vector<Peak> peaks_of(const EdgeProfile& profile, const Band& part, std::size_t most) {
  std::vector<Peak> out;
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < kLeastPoints || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    const double at = profile.first + static_cast<double>(i) + 0.5;
    if (at > part.top && at < part.bottom) out.push_back({at, c});
  }
  std::sort(out.begin(), out.end(), [](const Peak& a, const Peak& b) { return a.count > b.count; });
  if (out.size() > most) out.resize(most);
  return out;
}

/// Content by position across, over the whole strip.
std::vector<double> content_across(const FrameEdges& edges, const Turn& turn, double first,
                                   std::size_t size) {
  std::vector<double> out(size, 0.0);
  for (int y = 0; y < edges.content.rows; ++y) {
    for (int x = 0; x < edges.content.cols; ++x) {
      if (!edges.content(y, x)) continue;
      const double v = turn.v(x + 0.5, y + 0.5) - first;
      if (v >= 0 && v < static_cast<double>(size)) out[static_cast<std::size_t>(v)] += 1;
    }
  }
  return out;
}

/// Content by position across, and its sum up to a position.
class ContentAcross {
 public:
  ContentAcross(const FrameEdges& edges, const Turn& turn, const CellWindow& window)
      : low_(std::min(turn.v(0, 0), turn.v(window.x1, 0)) - 1) {
    const double high = std::max(turn.v(0, window.y1), turn.v(window.x1, window.y1)) + 1;
    content_ = content_across(edges, turn, low_, static_cast<std::size_t>(high - low_) + 1);
    sum_.push_back(0);
    for (const double c : content_) sum_.push_back(sum_.back() + c);
  }

  Band whole() const { return {low_, low_ + static_cast<double>(content_.size())}; }
  double within(const Band& band) const { return up_to(band.bottom) - up_to(band.top); }

  /// Thrice the share of the rows along both edges of a band that hold hardly any picture: between
  /// pictures and edge printing lies clear film, within pictures it does not run along all of them.
  double empty_edges(const Band& band) const {
    constexpr double kEdge = 0.3;  // of the band's height: more would be the middle of pictures
    constexpr double kHardlyAny = 0.25;  // of what the middle holds (both judgement)
    const auto row = [&](double v) {
      return std::clamp<std::ptrdiff_t>(std::lround(v - low_), 0, std::ssize(content_) - 1);
    };
    const std::ptrdiff_t top = row(band.top);
    const std::ptrdiff_t bottom = row(band.bottom);
    const auto edge = static_cast<std::ptrdiff_t>(kEdge * band.height());
    if (edge < 2 || bottom - top < 4 * edge) return 0;
    std::vector<double> middle(content_.begin() + top + edge, content_.begin() + bottom - edge);
    const double least = kHardlyAny * numeric::median(std::move(middle));
    int empty = 0;
    for (std::ptrdiff_t i = 1; i < edge; ++i) {
      empty += (content_[top + i] < least ? 1 : 0) + (content_[bottom - i] < least ? 1 : 0);
    }
    return 3 * empty / (2.0 * static_cast<double>(edge - 1));
  }

  /// Parts with content that lie clearly apart and are about equally high: strips that touch.
  std::vector<Band> parts() const {
    const double full = *std::max_element(content_.begin(), content_.end());
    std::vector<Band> out;
    for (std::size_t i = 0; i < content_.size(); ++i) {
      if (content_[i] < kEmpty * full) continue;
      const double at = low_ + static_cast<double>(i);
      if (out.empty() || at - out.back().bottom > kLeastApart) out.push_back({at, at});
      out.back().bottom = at + 1;
    }
    double highest = 0;
    for (const Band& part : out) highest = std::max(highest, part.height());
    std::erase_if(out, [&](const Band& part) { return part.height() < kLeastHeight * highest; });
    const bool even = std::all_of(out.begin(), out.end(), [&](const Band& part) {
      return part.height() > kAsHigh * highest;
    });
    if (out.size() < 2 || !even) return {whole()};
    // Each with the half of what lies between.
    for (std::size_t i = 1; i < out.size(); ++i) {
      out[i - 1].bottom = out[i].top = (out[i - 1].bottom + out[i].top) / 2;
    }
    out.front().top = whole().top;
    out.back().bottom = whole().bottom;
    return out;
  }

 private:
  static constexpr double kEmpty = 0.12;       // edge printing is content too
  static constexpr double kLeastApart = 3;     // cells
  static constexpr double kLeastHeight = 0.3;  // of the highest: less is printing
  static constexpr double kAsHigh = 0.85;      // strips of one holder are (all judgement)

  double up_to(double v) const {
    return sum_[static_cast<std::size_t>(
        std::clamp(v - low_, 0.0, static_cast<double>(content_.size())))];
  }
  double low_;
  std::vector<double> content_;
  std::vector<double> sum_;
};

/// How much speaks against a band of another height than is known.
double misfit(const Band& band, const std::optional<double>& height) {
  constexpr double kTolerance = 0.01;  // in ln: one camera's frames, found to a cell (judgement)
  constexpr double kWeight = 0.1;      // 3 % off costs as much as an edge that is not seen
  constexpr double kMost = 2;          // two edges seen whole
  if (!height) return 0;
  const double off = std::log(band.height() / *height) / kTolerance;
  return std::min(kMost, kWeight * off * off);
}

/// Width of the film from edge to edge, where bare light lies beyond both.
std::optional<Band> film_across(const FilmTones& tones, const Turn& turn, const Band& part) {
  constexpr double kHalfFilm = 0.5;    // of the fullest row: less lies beyond the film's edge
  constexpr double kMostlyBare = 0.5;  // of what lies beyond (both judgement)
  constexpr int kBeyond = 2;           // cells
  const auto size = static_cast<std::size_t>(part.height()) + 1;
  std::vector<double> film(size, 0.0);
  std::vector<double> bare(size, 0.0);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const double v = turn.v(x + 0.5, y + 0.5) - part.top;
      if (v < 0 || v >= static_cast<double>(size)) continue;
      const AreaKind kind = tones.kind[tones.index(x, y)];
      const auto row = static_cast<std::size_t>(v);
      film[row] += kind == AreaKind::picture || kind == AreaKind::clear_film ? 1 : 0;
      bare[row] += kind == AreaKind::bare_light ? 1 : 0;
    }
  }
  const double half = kHalfFilm * *std::max_element(film.begin(), film.end());
  const auto full = [&](double n) { return n > half; };
  const auto first = std::find_if(film.begin(), film.end(), full) - film.begin();
  const auto last = film.rend() - std::find_if(film.rbegin(), film.rend(), full) - 1;
  const auto lit = [&](std::ptrdiff_t row) {
    return row >= 0 && row < std::ssize(bare) && bare[row] > kMostlyBare * half;
  };
  if (!lit(first - kBeyond) || !lit(last + kBeyond)) return std::nullopt;
  // To a fraction of a cell: the rows on the edges count as far as they are film.
  const auto share = [&](std::ptrdiff_t row) { return std::min(1.0, film[row] / (2 * half)); };
  return Band{part.top + static_cast<double>(first) + 1 - share(first),
              part.top + static_cast<double>(last) + share(last)};
}

/// Pictures across the film, as a share of its width: 24 of 35 mm, 56 of 61.5 mm (common practice).
constexpr double kOnSmallFilm = 24 / 35.0;
constexpr double kOnRollFilm = 56 / 61.5;

/// How well a band lies on film of a width, 0 to 1: in its middle, as high as a share of it.
double seat_of(const Band& band, const Band& film, double share) {
  constexpr double kSpread = 0.025;  // of the width: 0.9 mm of 35 mm film (judgement)
  const double height = (band.height() / film.height() - share) / kSpread;
  const double off = ((band.top + band.bottom) - (film.top + film.bottom)) / 2 / film.height();
  return std::exp(-(height * height + off * off / (kSpread * kSpread)) / 2);
}

/// The two long edges of the pictures within a part of the film: many edge points on a line, hardly
/// any content beyond, and where cameras put pictures on film of this width.
PictureBand band_of(const FrameEdges& edges, const Turn& turn, const ContentAcross& content,
                    const Band& part, const std::optional<Band>& film, double width,
                    const std::optional<double>& height) {
  // Less merit than this, of two edges seen whole, is no band; bands lower than two fifths are a
  // part of a picture; content outside counts four times its share of all; a band where cameras
  // put it is worth nearly an edge (judgement).
  constexpr double kLeastMerit = 0.2;
  constexpr double kLeastPart = 0.4;
  constexpr double kOutsideWeight = 4;
  constexpr double kSeatWorth = 0.4;
  const double all = content.within(part);
  PictureBand best{part, std::nullopt, 0, false};
  double best_merit = kLeastMerit;
  const std::vector<Peak> bottoms =
      peaks_of(edge_profile(edges.points[kBottom], turn, kBottom), part, kMostLongEdges);
  for (const Peak& top :
       peaks_of(edge_profile(edges.points[kTop], turn, kTop), part, kMostLongEdges)) {
    for (const Peak& bottom : bottoms) {
      if (bottom.position - top.position < kLeastPart * (film ? *film : part).height()) continue;
      const double outside = all - content.within({top.position - 1, bottom.position + 1});
      const Band band{top.position, bottom.position};
      const double small = film ? seat_of(band, *film, kOnSmallFilm) : 0;
      const double roll = film ? seat_of(band, *film, kOnRollFilm) : 0;
      const double merit = (top.count + bottom.count) / (2.0 * width) -
                           kOutsideWeight * outside / std::max(all, 1.0) -
                           content.empty_edges(band) - misfit(band, height) +
                           kSeatWorth * std::max(small, roll);
      if (merit <= best_merit) continue;
      best_merit = merit;
      best.band = band;
      best.seat = std::max(small, roll);
      best.perforated = small > roll;
    }
  }
  return best;
}

}  // namespace

std::vector<PictureBand> find_bands(const FilmTones& tones, const FrameEdges& edges,
                                    const Turn& turn, const StripWish& wish) {
  const CellWindow window{0, 0, tones.width, tones.height};
  const ContentAcross content(edges, turn, window);
  std::vector<PictureBand> out;
  for (const Band& part : content.parts()) {
    out.push_back(band_of(edges, turn, content, part, film_across(tones, turn, part),
                          window.width(), wish.height));
  }
  return out;
}

}  // namespace basefog::area

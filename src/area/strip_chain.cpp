// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/strip_chain.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numeric>

namespace basefog::area {
namespace {

// Evidence counts in edges: one end of a frame that is seen over its whole height is 1. All
// judgement, held by area_study on simulated strips and sheets.

/// What a frame must bring in evidence of its two ends (at most 2) and content to be one.
constexpr double kFrameCost = 0.6;
/// What a frame's worth of content left outside all frames costs: more than two ends, so that a
/// dark frame is placed rather than left out.
constexpr double kContentWorth = 3;
/// What a gap seen inside a frame costs, times its evidence: more than one end can bring, so that
/// two half frames are not taken for one.
constexpr double kGapInside = 1.5;
/// A gap this near a frame's end, as a share of it, is that end's own.
constexpr double kEndOfFrame = 0.08;
/// How far a frame's length may be off its format's, as a share: film gates and shrinkage; and what
/// the end of that range costs, so that of two ends alike the fitting one wins.
constexpr double kSizeTolerance = 0.025;
constexpr double kSizeCost = 0.05;
/// The widest gap, in frame heights, the least evidence of its end and the most content in its
/// middle, as a share of the height.
constexpr double kWidestGap = 0.25;
constexpr double kLeastEnd = 0.1;
constexpr double kMostInGap = 0.05;

/// What a frame costs that does not follow the one before at its format's pitch: as much as an end,
/// so that a clear frame is placed between others, and a strong edge within a picture moves none.
constexpr double kBreak = 1.2;
/// Standard deviation of a gap, in frame heights: 35 mm film moves by whole perforations; and what
/// it costs to be that far off.
constexpr double kPerforatedSlip = 0.012;
constexpr double kRollFilmSlip = 0.04;
constexpr double kSlipCost = 0.15;
/// How far a frame may run into the one before, as a share of its length.
constexpr double kMostOverlap = 0.15;
/// What a frame costs that the film's end cuts, what must be left of it, and how far it may run out
/// without being cut, as shares; what all of it costs where no film is.
constexpr double kCutCost = 0.5;
constexpr double kLeastLeft = 0.25;
constexpr double kUncut = 0.04;
constexpr double kOffFilm = 4;

/// Evidence of a gap that begins at each cell: an end, no content, a start.
std::vector<double> gaps_in(const StripView& view) {
  std::vector<double> gap(view.ends.size(), 0.0);
  const auto widest = static_cast<std::size_t>(kWidestGap * view.height());
  for (std::size_t i = 0; i < gap.size(); ++i) {
    if (view.ends[i] < kLeastEnd) continue;
    for (std::size_t k = 2; k <= widest && i + k < gap.size(); ++k) {
      if (view.content[i + k / 2] > kMostInGap) break;
      gap[i] = std::max(gap[i], std::min(view.ends[i], view.starts[i + k]));
    }
  }
  return gap;
}

/// The greatest of a run of values, 0 or more, in constant time: of every run whose length is a
/// power of two it is kept, and any run is covered by two of them.
class GreatestOfRun {
 public:
  explicit GreatestOfRun(const std::vector<double>& values) : of_runs_{values} {
    for (std::size_t length = 1; 2 * length <= values.size(); length *= 2) {
      const std::vector<double>& half = of_runs_.back();
      std::vector<double> whole(values.size() - 2 * length + 1);
      for (std::size_t i = 0; i < whole.size(); ++i) {
        whole[i] = std::max(half[i], half[i + length]);
      }
      of_runs_.push_back(std::move(whole));
    }
  }
  /// 0 for none; what lies beyond the values is left out.
  double operator()(std::ptrdiff_t from, std::ptrdiff_t to) const {
    from = std::max<std::ptrdiff_t>(from, 0);
    to = std::min(to, std::ssize(of_runs_.front()));
    if (from >= to) return 0;
    const auto level = std::bit_width(static_cast<std::size_t>(to - from)) - 1;
    const std::vector<double>& run = of_runs_[level];
    return std::max(run[from], run[to - (std::ptrdiff_t{1} << level)]);
  }

 private:
  std::vector<std::vector<double>> of_runs_;  ///< by log2 of their length, then where they begin
};

/// The best row of frames of one format, by dynamic programming from left to right. Cells are
/// counted from so far before the view that a frame may be cut at either end.
class ChainSearch {
 public:
  ChainSearch(const StripView& view, const GreatestOfRun& gap, const FilmFormat& format)
      : view_(view),
        gap_(gap),
        format_(format),
        length_(format.ratio() * view.height()),
        pad_(static_cast<std::ptrdiff_t>((1 - kLeastLeft) * length_) + 1),
        size_(std::ssize(view.starts) + 2 * pad_),
        content_{0.0},
        film_{0.0},
        ended_(size_ + 1, {-1e9, 0, kNone}) {
    for (std::ptrdiff_t i = 0; i < size_; ++i) {
      content_.push_back(content_.back() + at(view.content, i));
      film_.push_back(film_.back() + at(view.film, i));
    }
    const auto is_film = [](double share) { return share > 0.5; };
    const auto& film = view.film;
    film_begin_ = pad_ + (std::find_if(film.begin(), film.end(), is_film) - film.begin());
    film_end_ = pad_ + (film.rend() - std::find_if(film.rbegin(), film.rend(), is_film));
  }

  Chain best() {
    const auto tolerance = static_cast<std::ptrdiff_t>(std::ceil(kSizeTolerance * length_));
    double break_best = -1e9;
    std::ptrdiff_t break_at = kNone;
    for (std::ptrdiff_t i = 0; i < size_; ++i) {
      if (ended_[i].merit + left_out(0, i) > break_best) {
        break_best = ended_[i].merit + left_out(0, i);
        break_at = i;
      }
      // The first frame, one after a space of its own, one at the pitch.
      Entry enter{-left_out(0, i), i, kNone};
      const double after_break = break_best - left_out(0, i) - kBreak;
      if (after_break > enter.merit) enter = {after_break, i, break_at};
      follow(i, enter);
      const std::ptrdiff_t middle = std::lround(static_cast<double>(i) + length_);
      for (std::ptrdiff_t t = -tolerance; t <= tolerance; ++t) {
        const std::ptrdiff_t k = middle + t;
        if (k <= i || k > size_) continue;
        const double off =
            static_cast<double>(t) / std::max<double>(1, static_cast<double>(tolerance));
        // Most places show no end: what a frame brings at most decides.
        if (enter.merit + at(view_.starts, i) + at(view_.ends, k) <= ended_[k].merit) continue;
        const double merit = enter.merit + worth_of(i, k) - kSizeCost * off * off;
        if (merit > ended_[k].merit) ended_[k] = {merit, i, enter.before};
      }
    }
    return chain();
  }

 private:
  static constexpr std::ptrdiff_t kNone = -1;
  struct Entry {
    double merit;
    std::ptrdiff_t start;
    std::ptrdiff_t before;  ///< end of the frame before; kNone for the first
  };

  double at(const std::vector<double>& values, std::ptrdiff_t i) const {
    i -= pad_;
    return i >= 0 && i < std::ssize(values) ? values[i] : 0;
  }
  /// What it costs to leave the content of cells out of all frames.
  double left_out(std::ptrdiff_t from, std::ptrdiff_t to) const {
    return to > from ? kContentWorth / length_ * (content_[to] - content_[from]) : 0;
  }

  /// A frame that starts at a place and follows the one before at the format's pitch.
  void follow(std::ptrdiff_t start, Entry& enter) const {
    const double gap = (format_.pitch - format_.along) / format_.across * view_.height();
    // Never finer than the cells.
    const double slip =
        (format_.across < 30 ? kPerforatedSlip : kRollFilmSlip) * view_.height() + 0.5;
    const auto widest = static_cast<std::ptrdiff_t>(kWidestGap * view_.height());
    const auto overlap = static_cast<std::ptrdiff_t>(kMostOverlap * length_);
    const std::ptrdiff_t last = std::min(start + overlap, size_);
    for (std::ptrdiff_t end = std::max<std::ptrdiff_t>(0, start - widest); end <= last; ++end) {
      if (ended_[end].merit <= enter.merit) continue;  // what follows only takes away
      const double off = (static_cast<double>(start - end) - gap) / slip;
      const double merit =
          ended_[end].merit - left_out(end, start) - std::min(kBreak, kSlipCost * off * off);
      if (merit > enter.merit) enter = {merit, start, end};
    }
  }

  /// What a frame brings of itself.
  double worth_of(std::ptrdiff_t start, std::ptrdiff_t end) const {
    const double length = static_cast<double>(end - start);
    const double on_film = (film_[end] - film_[start]) / length;
    const double run_out = static_cast<double>(std::max<std::ptrdiff_t>(0, film_begin_ - start) +
                                               std::max<std::ptrdiff_t>(0, end - film_end_));
    double merit = at(view_.starts, start) + at(view_.ends, end) - kFrameCost;
    if (run_out > kUncut * length) {
      if (on_film < kLeastLeft) return -1e9;
      merit -= kCutCost + kOffFilm * std::max(0.0, 1 - on_film - run_out / length);
    } else {
      merit -= kOffFilm * (1 - on_film);
    }
    const auto inside = static_cast<std::ptrdiff_t>(kEndOfFrame * length);
    return merit - kGapInside * gap_(start + inside - pad_, end - inside - pad_);
  }

  Chain chain() const {
    Chain out;
    out.format = format_;
    out.merit = -left_out(0, size_);
    std::ptrdiff_t last = kNone;
    for (std::ptrdiff_t i = 0; i <= size_; ++i) {
      const double merit = ended_[i].merit - left_out(i, size_);
      if (merit <= out.merit) continue;
      out.merit = merit;
      last = i;
    }
    out.merit -= format_.reluctance;
    const std::ptrdiff_t cells = std::ssize(view_.starts) - 1;
    for (; last != kNone; last = ended_[last].before) {
      const std::ptrdiff_t start = ended_[last].start;
      const bool cut =
          static_cast<double>(std::max(film_begin_ - start, last - film_end_)) > kUncut * length_;
      const std::ptrdiff_t from = cut ? std::max(start, film_begin_) : start;
      const std::ptrdiff_t to = cut ? std::min(last, film_end_) : last;
      const auto place = [&](std::ptrdiff_t k) {
        return static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(k - pad_, 0, cells));
      };
      out.frames.push_back({place(from), place(to), cut});
    }
    std::reverse(out.frames.begin(), out.frames.end());
    return out;
  }

  const StripView& view_;
  const GreatestOfRun& gap_;
  const FilmFormat& format_;
  double length_;
  std::ptrdiff_t pad_;
  std::ptrdiff_t size_;
  std::vector<double> content_;  ///< summed up to each cell
  std::vector<double> film_;     ///< likewise
  std::vector<Entry> ended_;     ///< by where the last frame ends
  std::ptrdiff_t film_begin_ = 0;
  std::ptrdiff_t film_end_ = 0;
};

/// Frames that run into each other leave one run of content that is longer than its frames together
/// have room for, and has an edge at either end: they are spread evenly over it. Two exposures on
/// one frame are a run that is not much longer than one.
void spread_over_runs(const StripView& view, const std::vector<double>& gap,
                      const FilmFormat& format, std::vector<Span>& frames) {
  const double length = format.ratio() * view.height();
  const double between = (format.pitch - format.along) / format.along;  // frames, of a length
  constexpr double kContent = 0.3;   // of the height: a run's column, rather than printing
  constexpr double kSeen = 0.3;      // of an end's height
  constexpr double kLonger = 0.06;   // of a frame: twice exposed and blurred ends (all judgement)
  constexpr double kNearEnd = 0.02;  // of a frame: an end's blur
  const auto size = static_cast<std::size_t>(length);
  const auto near = static_cast<std::size_t>(kNearEnd * length) + 1;
  const auto seen = [&](const std::vector<double>& values, std::size_t at) {
    const std::size_t from = at > near ? at - near : 0;
    const std::size_t to = std::min(values.size(), at + near + 1);
    return *std::max_element(values.begin() + static_cast<std::ptrdiff_t>(from),
                             values.begin() + static_cast<std::ptrdiff_t>(to)) > kSeen;
  };
  std::size_t from = 0;
  while (from < view.content.size()) {
    if (view.content[from] < kContent) {
      ++from;
      continue;
    }
    std::size_t to = from;
    std::size_t last = from;
    // Shadows may break the content, up to a tenth of a frame; a gap with two edges ends the run.
    while (to < view.content.size() && to - last < size / 10 &&
           (gap[to] < kSeen || to - from < near)) {
      if (view.content[to] >= kContent) last = to;
      ++to;
    }
    const std::size_t end = last + 1;
    const auto run = static_cast<double>(end - from);
    const double whole = std::floor(run / length);
    // Gaps that are too narrow to be seen lie between whole frames.
    const bool even = run < length || run / length - whole < kLonger + (whole - 1) * between;
    if (!even && seen(view.starts, from) && seen(view.ends, end)) {
      const auto count = static_cast<std::size_t>(run / length) + 1;
      std::erase_if(frames,
                    [&](const Span& f) { return f.end > from + near && f.start + near < end; });
      for (std::size_t k = 0; k < count; ++k) {
        const std::size_t start = from + k * (end - from - size) / (count - 1);
        frames.push_back({start, start + size});
      }
    }
    from = std::max(end, to);
    // The run's blurred end is no begin of the next.
    while (from < view.content.size() && view.content[from] >= kContent) ++from;
  }
  std::sort(frames.begin(), frames.end(),
            [](const Span& a, const Span& b) { return a.start < b.start; });
}

/// Puts frames that nothing shows between two that are seen, where the film goes on and has room
/// for so many at the format's pitch: one alone pays for itself in the search, several do not.
void fill_spaces(const StripView& view, const FilmFormat& format, std::vector<Span>& frames) {
  constexpr double kOff = 0.05;   // of a pitch, in all: what slips add up to
  constexpr double kFilm = 0.95;  // share of the space that is film (both judgement)
  const double length = format.ratio() * view.height();
  const double pitch = format.pitch / format.across * view.height();
  std::vector<Span> filled;
  for (const Span& frame : frames) {
    if (!filled.empty() && frame.start > filled.back().end) {
      const std::size_t end = filled.back().end;
      const double space = static_cast<double>(frame.start - end) - (pitch - length);
      const double count = std::round(space / pitch);
      const double film =
          std::accumulate(view.film.begin() + static_cast<std::ptrdiff_t>(end),
                          view.film.begin() + static_cast<std::ptrdiff_t>(frame.start), 0.0) /
          static_cast<double>(frame.start - end);
      if (count >= 1 && std::abs(space - count * pitch) < kOff * pitch && film > kFilm) {
        const double each = (static_cast<double>(frame.start - end) - count * length) / (count + 1);
        for (int k = 0; k < static_cast<int>(count); ++k) {
          const double at = static_cast<double>(end) + each + k * (length + each);
          filled.push_back({static_cast<std::size_t>(std::lround(at)),
                            static_cast<std::size_t>(std::lround(at + length))});
        }
      }
    }
    filled.push_back(frame);
  }
  frames = std::move(filled);
}

/// The largest value within `reach` of each place.
std::vector<double> largest_near(const std::vector<double>& values, std::ptrdiff_t reach) {
  std::vector<double> out(values.size());
  for (std::ptrdiff_t i = 0; i < std::ssize(values); ++i) {
    const auto from = values.begin() + std::max<std::ptrdiff_t>(0, i - reach);
    const auto to = values.begin() + std::min(std::ssize(values), i + reach + 1);
    out[i] = *std::max_element(from, to);
  }
  return out;
}

/// The place of the largest value near one, or the place itself where nothing is seen.
std::size_t seen_near(const std::vector<double>& values, double place, std::ptrdiff_t reach) {
  constexpr double kSeen = 0.1;  // of an end's height; weaker is a picture's own line (judgement)
  const std::ptrdiff_t middle =
      std::clamp<std::ptrdiff_t>(std::lround(place), 0, std::ssize(values) - 1);
  const auto from = values.begin() + std::max<std::ptrdiff_t>(0, middle - reach);
  const auto to = values.begin() + std::min(std::ssize(values), middle + reach + 1);
  const auto best = std::max_element(from, to);
  return *best < kSeen ? middle : best - values.begin();
}

/// So many frames at an even pitch: the start and pitch that most evidence agrees with, for frames
/// that are too dark, touch or overlap so that their gaps do not show one by one.
Chain evenly_spaced(const StripView& view, const FilmFormat& format, int frames) {
  constexpr double kMostOffPitch = 0.03;  // film shrinks, cameras differ
  constexpr int kPitches = 25;         // steps of 0.25 %: half a gap of 35 mm film over ten frames
  constexpr double kSlack = 0.015;     // of the height: a counter slips
  constexpr double kPitchCost = 0.02;  // of the pitches' range: breaks ties only
  constexpr double kCutOff = 0.05;     // of a frame: cut by the end of the scan (all judgement)
  const auto reach = static_cast<std::ptrdiff_t>(std::ceil(kSlack * view.height()));
  const std::vector<double> starts = largest_near(view.starts, reach);
  const std::vector<double> ends = largest_near(view.ends, reach);
  std::vector<double> content{0.0};
  for (const double c : view.content) content.push_back(content.back() + c);
  const double length = format.ratio() * view.height();
  const double size = static_cast<double>(view.starts.size());
  const auto place = [&](double at) {
    return static_cast<std::size_t>(std::clamp(at, 0.0, size - 1));
  };
  Chain best;
  best.format = format;
  double best_start = 0;
  double best_pitch = 0;
  for (int p = 0; p < kPitches; ++p) {
    const double factor = 1 + kMostOffPitch * (2.0 * p / (kPitches - 1) - 1);
    const double pitch = factor * format.pitch / format.across * view.height();
    const double least = -kCutOff * length;
    const double most = size + kCutOff * length - (frames - 1) * pitch - length;
    const int starts_tried = 1 + static_cast<int>(std::max(0.0, most - least));
    for (int i = 0; i < starts_tried; ++i) {
      const double start = least + i;
      double merit = -kPitchCost * std::abs(factor - 1) / kMostOffPitch;
      double inside = 0;
      for (int k = 0; k < frames; ++k) {
        const std::size_t from = place(start + k * pitch);
        const std::size_t to = place(start + k * pitch + length);
        merit += starts[from] + ends[to];
        inside += content[to + 1] - content[from];
      }
      merit -= kContentWorth / length * (content.back() - inside);
      if (merit <= best.merit) continue;
      best.merit = merit;
      best_start = start;
      best_pitch = pitch;
    }
  }
  for (int k = 0; k < frames; ++k) {
    const double start = best_start + k * best_pitch;
    best.frames.push_back(
        {seen_near(view.starts, start, reach), seen_near(view.ends, start + length, reach)});
  }
  return best;
}

}  // namespace

Chain find_chain(const StripView& view, const StripWish& wish) {
  const std::vector<double> gap = gaps_in(view);
  const GreatestOfRun greatest_gap(gap);
  const std::span<const FilmFormat> formats =
      wish.formats.empty() ? film_formats() : std::span<const FilmFormat>(wish.formats);
  Chain best;
  for (const FilmFormat& format : formats) {
    if (format.pitch == 0) continue;
    Chain chain = ChainSearch(view, greatest_gap, format).best();
    if (chain.merit > best.merit) best = std::move(chain);
  }
  if (best.frames.size() > 1) {
    spread_over_runs(view, gap, best.format, best.frames);
    fill_spaces(view, best.format, best.frames);
  }
  if (!wish.frames || std::ssize(best.frames) == *wish.frames) return best;
  best = {};
  for (const FilmFormat& format : formats) {
    if (format.pitch == 0) continue;
    Chain chain = evenly_spaced(view, format, *wish.frames);
    chain.merit -= format.reluctance;
    if (chain.merit > best.merit) best = std::move(chain);
  }
  return best;
}

}  // namespace basefog::area

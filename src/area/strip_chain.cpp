// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/strip_chain.hpp"

#include <algorithm>
#include <cmath>

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

struct Chain {
  double merit = -1e9;
  std::vector<Span> frames;
};

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

/// The best row of frames of one format, by dynamic programming from left to right.
Chain best_chain(const StripView& view, const std::vector<double>& gap, double ratio) {
  const std::size_t n = view.starts.size();
  const double length = ratio * view.height();
  const auto tolerance = static_cast<std::ptrdiff_t>(std::ceil(kSizeTolerance * length));
  const double worth = kContentWorth / length;
  std::vector<double> best(n + 1, -1e9);
  std::vector<std::size_t> from(n + 1, 0);
  best[0] = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (best[i] - worth * view.content[i] > best[i + 1]) {
      best[i + 1] = best[i] - worth * view.content[i];
      from[i + 1] = i;
    }
    double end_evidence = -1;
    std::size_t end = 0;
    for (std::ptrdiff_t t = -tolerance; t <= tolerance; ++t) {
      const double at = static_cast<double>(i) + length + static_cast<double>(t);
      if (at < 0 || at >= static_cast<double>(n)) continue;
      const auto k = static_cast<std::size_t>(at);
      const double off =
          static_cast<double>(t) / std::max<double>(1, static_cast<double>(tolerance));
      const double evidence = view.ends[k] - kSizeCost * off * off;
      if (evidence > end_evidence) {
        end_evidence = evidence;
        end = k;
      }
    }
    if (end_evidence < -0.5 || end <= i) continue;
    const auto inside = static_cast<std::size_t>(kEndOfFrame * length);
    double worst = 0;
    for (std::size_t k = i + inside; k + inside < end; ++k) worst = std::max(worst, gap[k]);
    const double merit = best[i] + view.starts[i] + end_evidence - kFrameCost - kGapInside * worst;
    if (merit > best[end]) {
      best[end] = merit;
      from[end] = i;
    }
  }
  Chain chain;
  chain.merit = best[n];
  for (std::size_t i = n; i > 0; i = from[i]) {
    if (i - from[i] > 1) chain.frames.push_back({from[i], i});
  }
  std::reverse(chain.frames.begin(), chain.frames.end());
  return chain;
}

/// Frames between others that nothing shows: where a space is a whole number of pitches.
void fill_by_pitch(std::vector<Span>& frames) {
  if (frames.size() < 3) return;
  std::vector<double> steps;
  for (std::size_t i = 1; i < frames.size(); ++i) {
    steps.push_back(static_cast<double>(frames[i].start - frames[i - 1].start));
  }
  const double pitch = *std::min_element(steps.begin(), steps.end());
  // Frames on top of each other have no pitch; a space is whole to a few hundredths (judgement).
  constexpr double kApart = 0.95;  // of a frame
  constexpr double kWhole = 0.04;
  if (pitch < kApart * static_cast<double>(frames.front().end - frames.front().start)) return;
  std::vector<Span> all{frames.front()};
  for (std::size_t i = 1; i < frames.size(); ++i) {
    const double pitches = steps[i - 1] / pitch;
    const double whole = std::round(pitches);
    if (whole >= 2 && std::abs(pitches - whole) < kWhole * whole) {
      const double step = steps[i - 1] / whole;
      for (int k = 1; k < static_cast<int>(whole); ++k) {
        const auto by = static_cast<std::size_t>(std::lround(k * step));
        all.push_back({frames[i - 1].start + by, frames[i - 1].end + by});
      }
    }
    all.push_back(frames[i]);
  }
  frames = std::move(all);
}

/// Frames that run into each other leave one run of content that is longer than its frames together
/// have room for, and has an edge at either end: they are spread evenly over it. Two exposures on
/// one frame are a run that is not much longer than one.
void spread_over_runs(const StripView& view, const std::vector<double>& gap, double length,
                      std::vector<Span>& frames) {
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
    const double spare = run / length - std::floor(run / length);
    const bool even = spare < kLonger || run < length;
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

std::vector<Span> find_chain(const StripView& view, const StripWish& wish) {
  const std::vector<double> gap = gaps_in(view);
  const std::span<const FilmFormat> formats =
      wish.formats.empty() ? film_formats() : std::span<const FilmFormat>(wish.formats);
  Chain best;
  double ratio = 0;
  for (const FilmFormat& format : formats) {
    if (format.pitch == 0) continue;
    Chain chain = best_chain(view, gap, format.ratio());
    chain.merit -= format.reluctance;
    if (chain.merit <= best.merit) continue;
    best = std::move(chain);
    ratio = format.ratio();
  }
  if (best.frames.size() > 1) {
    spread_over_runs(view, gap, ratio * view.height(), best.frames);
  }
  fill_by_pitch(best.frames);
  if (!wish.frames || std::ssize(best.frames) == *wish.frames) return best.frames;
  best = {};
  for (const FilmFormat& format : formats) {
    if (format.pitch == 0) continue;
    Chain chain = evenly_spaced(view, format, *wish.frames);
    chain.merit -= format.reluctance;
    if (chain.merit > best.merit) best = std::move(chain);
  }
  return best.frames;
}

}  // namespace basefog::area

// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "area/film_pieces.hpp"
#include "area/film_strip.hpp"
#include "basefog/area/film_format.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// The outline of a frame found with x and y exchanged.
FrameOutline transposed(const FrameOutline& frame) {
  FrameOutline out;
  out.angle_degrees = -frame.angle_degrees;
  out.side(kLeft) = frame.side(kTop);
  out.side(kRight) = frame.side(kBottom);
  out.side(kTop) = frame.side(kLeft);
  out.side(kBottom) = frame.side(kRight);
  return out;
}

/// Share of a side that must be edge for a side beside the mask, for one beside clear film, and for
/// two beside clear film that meet. Lines within pictures seldom run so far, or not to clear film
/// (judgement).
constexpr double kMaskSeen = 0.6;
constexpr double kRebateSeen = 0.5;
constexpr double kBothRebatesSeen = 0.12;

/// Whether anything of a frame's edges was surely seen; otherwise it could be lines in a picture.
bool edges_seen(const FrameOutline& f) {
  const bool mask = std::any_of(f.sides.begin(), f.sides.end(), [](const FrameSide& s) {
    return s.kind == SideKind::mask && s.evidence > kMaskSeen;
  });
  return mask || rebate_seen(f);
}

/// Strips on one sheet: more than any holder takes, so that dust cannot make the search long.
constexpr int kMostPieces = 100;
/// Pictures of one sheet are as high and as long as each other within this, as a share.
constexpr double kAlike = 0.04;

/// A strip on one piece of film, with the size of its pictures in cells.
struct FoundStrip {
  std::vector<FrameOutline> frames;
  double height = 0;  ///< across the film; 0 for a lone frame, which no row explains
  double length = 0;  ///< along it
  double merit = 0;   ///< of its row (StripFrames)
  bool other_size = false;
};

StripWish wish_of(const LayoutHint& hint) {
  StripWish wish;
  if (!hint.format.empty()) wish.formats = formats_named(hint.format);
  wish.frames = hint.frames;
  return wish;
}

double length_of(const FrameOutline& frame) {
  return frame.side(kRight).position - frame.side(kLeft).position;
}
double height_of(const FrameOutline& frame) {
  return frame.side(kBottom).position - frame.side(kTop).position;
}

/// Median over frames of a size: over whole ones, if there are any.
double typical(const std::vector<FrameOutline>& frames, double (*size)(const FrameOutline&)) {
  const bool all_cut = std::ranges::all_of(frames, &FrameOutline::cut);
  std::vector<double> sizes;
  for (const FrameOutline& frame : frames) {
    if (!frame.cut || all_cut) sizes.push_back(size(frame));
  }
  return numeric::median(sizes);
}

/// Strips of one piece of film: several frames along it, either way.
std::vector<FoundStrip> strips_of(const FilmTones& tones, const LayoutHint& hint,
                                  const StripWish& wish) {
  // Of at most 2, two edges a gap: what makes a strip of film that one frame could fill, and of
  // film longer than any one picture of 24x36, which asks for little (judgement).
  constexpr double kLeastGapEvidence = 0.6;
  constexpr double kLeastOnLongFilm = 0.15;
  constexpr double kLongFilm = 1.9;
  // Half frames on a strip as long as any glass; more are a ruler's marks (common practice).
  constexpr std::size_t kMostInRow = 20;
  // Film this much longer one way than the other is not searched across (judgement).
  constexpr double kTooNarrow = 0.6;
  constexpr double kTooWide = 1.7;
  constexpr double kWishedFrame = 0.1;  // what a frame counts, unseen, where strips are asked for
  const bool wished =
      hint.frames || hint.content.value_or(ScanContent::single) != ScanContent::single;
  const double ratio = static_cast<double>(tones.width) / tones.height;
  std::vector<FoundStrip> best;
  double best_sum = 0;
  auto consider = [&](std::vector<StripFrames> strips, double length, bool upright) {
    const double least = wished ? 0.0 : length > kLongFilm ? kLeastOnLongFilm : kLeastGapEvidence;
    double sum = 0;
    std::vector<FoundStrip> found;
    for (StripFrames& strip : strips) {
      const bool several = strip.frames.size() >= 2 && strip.gap_evidence >= least;
      if ((!several || strip.frames.size() > kMostInRow) && !wished) continue;
      sum += (strip.gap_evidence + (wished ? kWishedFrame : 0.0)) *
             static_cast<double>(strip.frames.size());
      FoundStrip out{std::move(strip.frames)};
      out.merit = strip.merit;
      out.height = typical(out.frames, height_of);
      out.length = typical(out.frames, length_of);
      if (upright) {
        for (FrameOutline& frame : out.frames) frame = transposed(frame);
      }
      found.push_back(std::move(out));
    }
    if (sum <= best_sum) return;
    best_sum = sum;
    best = std::move(found);
  };
  const bool along_x = hint.order == Heading::right || hint.order == Heading::left;
  if (hint.order ? along_x : ratio > kTooNarrow) consider(find_strips(tones, wish), ratio, false);
  if (hint.order ? !along_x : ratio < kTooWide) {
    consider(find_strips(transposed(tones), wish), 1 / ratio, true);
  }
  return best;
}

/// Strips on one piece of film, or its one frame, or none where none is found.
std::vector<FoundStrip> frames_of(const FilmTones& tones, const LayoutHint& hint,
                                  const StripWish& wish) {
  if (hint.content != ScanContent::single) {
    std::vector<FoundStrip> strips = strips_of(tones, hint, wish);
    if (!strips.empty()) return strips;
  }
  const FrameOutline one = find_frame(tones, {0, 0, tones.width, tones.height}, wish.formats);
  // The longest pictures, 60x170, are three times as long as high; a ruler is longer.
  constexpr double kLongest = 3.5;  // judgement
  const double ratio = length_of(one) / height_of(one);
  if (!edges_seen(one) || std::max(ratio, 1 / ratio) > kLongest) return {};
  return {{{one}}};
}

/// The pieces that a scan of this content is made of: the largest, as many as there are strips.
std::vector<FilmPiece> pieces_of(const FilmTones& tones, const LayoutHint& hint) {
  if (hint.content == ScanContent::single) return {{0, 0, tones}};
  std::vector<FilmPiece> pieces = find_pieces(tones);
  const int most = hint.content == ScanContent::strip ? 1 : hint.strips.value_or(kMostPieces);
  while (std::ssize(pieces) > most) {
    pieces.erase(
        std::min_element(pieces.begin(), pieces.end(), [](const FilmPiece& a, const FilmPiece& b) {
          return a.tones.density.size() < b.tones.density.size();
        }));
  }
  return pieces;
}

/// Whether any frames were found as a row along a strip.
bool any_row(const std::vector<std::vector<FoundStrip>>& by_piece) {
  return std::any_of(by_piece.begin(), by_piece.end(), [](const auto& piece) {
    return std::any_of(piece.begin(), piece.end(),
                       [](const FoundStrip& strip) { return strip.height > 0; });
  });
}

/// The size of the pictures that most frames of a sheet have, if there is one; of lone frames, as
/// in mounts, with the longer side along the film.
std::optional<FoundStrip> common_size(const std::vector<std::vector<FoundStrip>>& by_piece) {
  std::vector<double> heights;
  std::vector<double> lengths;
  const bool rows = any_row(by_piece);
  int strips = 0;
  for (const std::vector<FoundStrip>& piece : by_piece) {
    for (const FoundStrip& strip : piece) {
      if (!rows) {
        ++strips;
        const auto [shorter, longer] =
            std::minmax({height_of(strip.frames.front()), length_of(strip.frames.front())});
        heights.push_back(shorter);
        lengths.push_back(longer);
      }
      if (strip.height == 0) continue;
      ++strips;
      heights.insert(heights.end(), strip.frames.size(), strip.height);
      lengths.insert(lengths.end(), strip.frames.size(), strip.length);
    }
  }
  if (strips < 2) return std::nullopt;
  FoundStrip size;
  size.height = numeric::median(heights);
  size.length = numeric::median(lengths);
  const auto alike = std::count_if(heights.begin(), heights.end(), [&](double h) {
    return std::abs(std::log(h / size.height)) < kAlike;
  });
  if (2 * alike <= std::ssize(heights)) return std::nullopt;
  return size;
}

/// Whether a frame is as large as a sheet's pictures, either way up.
bool alike(const FrameOutline& frame, const FoundStrip& size) {
  const double a = length_of(frame);
  const double b = height_of(frame);
  return std::abs(std::log(std::max(a, b) / std::max(size.length, size.height))) < kAlike &&
         std::abs(std::log(std::min(a, b) / std::min(size.length, size.height))) < kAlike;
}

/// A strip of one sheet whose pictures are not as the others' was seen wrong, and so was film
/// without any: it is looked at again for pictures of that size. What is another camera's strip
/// shows its own size better; a lone frame of another size is none.
void agree_on_size(std::vector<std::vector<FoundStrip>>& by_piece,
                   const std::vector<FilmPiece>& pieces, const LayoutHint& hint) {
  // How much better another size must explain a strip, in edges seen whole (judgement).
  constexpr double kOtherSize = 1;
  const std::optional<FoundStrip> size = common_size(by_piece);
  if (!size) return;
  const auto off = [&](const FoundStrip& strip) {
    return strip.height == 0 || std::abs(std::log(strip.height / size->height)) > kAlike ||
           std::abs(std::log(strip.length / size->length)) > kAlike;
  };
  StripWish wish = wish_of(hint);
  wish.height = size->height;
  wish.formats.clear();
  for (const FilmFormat& format : film_formats()) {
    const double ratio = size->length / size->height;
    if (std::abs(std::log(format.ratio() / ratio)) < kAlike) wish.formats.push_back(format);
  }
  if (wish.formats.empty()) return;
  const auto merit_of = [](const std::vector<FoundStrip>& strips) {
    double sum = 0;
    for (const FoundStrip& strip : strips) sum += strip.merit;
    return sum;
  };
  const bool rows = any_row(by_piece);
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const bool lone = by_piece[i].size() == 1 && by_piece[i].front().height == 0;
    if (!rows && lone && alike(by_piece[i].front().frames.front(), *size)) continue;
    if (!by_piece[i].empty() && std::none_of(by_piece[i].begin(), by_piece[i].end(), off)) continue;
    LayoutHint strip = hint;
    strip.content = ScanContent::strip;
    std::vector<FoundStrip> again = strips_of(pieces[i].tones, strip, wish);
    if (!again.empty() && std::none_of(again.begin(), again.end(), off) && merit_of(again) > 0 &&
        merit_of(again) + kOtherSize > merit_of(by_piece[i])) {
      by_piece[i] = std::move(again);
    } else if (lone && !alike(by_piece[i].front().frames.front(), *size)) {
      by_piece[i].clear();
    } else {
      for (FoundStrip& found : by_piece[i]) found.other_size = !lone && off(found);
    }
  }
}

/// Puts frames and strips into the order that the hint says; found they lie from left to right and
/// from the top down.
void put_in_order(std::vector<SheetStrip>& strips, const LayoutHint& hint) {
  const auto backward = [](const std::optional<Heading>& heading) {
    return heading == Heading::left || heading == Heading::up;
  };
  if (backward(hint.order)) {
    for (SheetStrip& strip : strips) std::reverse(strip.frames.begin(), strip.frames.end());
  }
  if (backward(hint.strip_order)) std::reverse(strips.begin(), strips.end());
}

/// Takes out rows that explain less than they cost: pictures of another size or none at all, on
/// film that is told to have no frame found. A lone frame has no row.
void leave_out_poor_rows(std::vector<std::vector<FoundStrip>>& by_piece) {
  for (std::vector<FoundStrip>& strips : by_piece) {
    std::erase_if(strips, [](const FoundStrip& s) { return s.height > 0 && s.merit < 0; });
  }
}

/// How wide a piece of film is, times the pictures found across it; of a lone frame the way that
/// fits better.
double times_as_wide(const FilmPiece& piece, const std::vector<FoundStrip>& strips) {
  double pictures = 0;
  for (const FoundStrip& strip : strips) pictures += strip.height;
  if (pictures > 0) return piece.width / pictures;
  const FrameOutline& frame = strips.front().frames.front();
  const auto [shorter, longer] = std::minmax({height_of(frame), length_of(frame)});
  return std::min(piece.width / shorter, piece.length / longer);
}

/// Takes out frames that lie on no film. Film is cut straight; beside pictures it is no wider than
/// its perforations, and where no light lies beside it one strip fills the view. Windows and signs
/// within a picture that shows no end of itself are on neither.
void leave_out_what_is_no_film(std::vector<std::vector<FoundStrip>>& by_piece,
                               const std::vector<FilmPiece>& pieces, bool light_seen) {
  // Sheets of film as hands lay it have 0.94 and more, pictures 0.91 and less (measured).
  constexpr double kStraight = 0.92;
  // 35 mm film is 1.46 times as wide as its pictures, other film less; with a turn and found edges'
  // errors (judgement).
  constexpr double kWidest = 1.6;
  // A row of three frames and more that are nearly all seen is film whatever its outline: dark
  // pictures that the glass cuts look like a mask (judgement).
  constexpr double kSureRow = 3;
  const bool sure = std::ranges::any_of(by_piece, [](const std::vector<FoundStrip>& strips) {
    return std::ranges::any_of(strips, [](const FoundStrip& s) { return s.merit > kSureRow; });
  });
  if (light_seen && !sure && straightness(pieces) < kStraight) by_piece.assign(pieces.size(), {});
  if (light_seen) return;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (!by_piece[i].empty() && times_as_wide(pieces[i], by_piece[i]) > kWidest) {
      by_piece[i].clear();
    }
  }
}

}  // namespace

bool rebate_seen(const FrameOutline& f) {
  auto of = [](const FrameSide& s) { return s.kind == SideKind::rebate ? s.evidence : 0.0; };
  const double upright = std::max(of(f.side(kLeft)), of(f.side(kRight)));
  const double level = std::max(of(f.side(kTop)), of(f.side(kBottom)));
  return upright > kRebateSeen || level > kRebateSeen ||
         (upright > kBothRebatesSeen && level > kBothRebatesSeen);
}

std::vector<SheetStrip> find_sheet(const FilmTones& tones, const LayoutHint& hint) {
  const std::vector<FilmPiece> pieces = pieces_of(tones, hint);
  std::vector<std::vector<FoundStrip>> by_piece;
  for (const FilmPiece& piece : pieces) {
    by_piece.push_back(frames_of(piece.tones, hint, wish_of(hint)));
  }
  agree_on_size(by_piece, pieces, hint);
  const bool told = hint.content || hint.frames || hint.strips;
  if (!told) leave_out_poor_rows(by_piece);
  if (!told) leave_out_what_is_no_film(by_piece, pieces, tones.bare.has_value());
  std::vector<SheetStrip> strips;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    for (FoundStrip& strip : by_piece[i]) {
      strips.push_back({pieces[i].x0, pieces[i].y0, std::move(strip.frames), strip.other_size});
    }
  }
  put_in_order(strips, hint);
  return strips;
}

}  // namespace basefog::area

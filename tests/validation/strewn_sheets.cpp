// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/strewn_sheets.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "validation/draws.hpp"

namespace validation {
namespace {

using basefog::strewn::Glass;
using basefog::strewn::Piece;
using basefog::strewn::Point;
using basefog::strewn::Shot;
using basefog::strewn::Stock;

constexpr Stock kSmallFilm{35, 36, 24, 38, true};
constexpr Stock kHalfFrames{35, 18, 24, 19, true};
constexpr Stock kPanoramic{35, 65, 24, 66.5, true};
constexpr std::array<Stock, 3> kRollFilm = {
    {{61.5, 56, 56, 61, false}, {61.5, 41.5, 56, 46, false}, {61.5, 69.5, 56, 75, false}}};

bool has(Lie lie, Lie of) { return lie == of || lie == Lie::everything; }

/// One sheet being laid out, from the top down.
class Sheet {
 public:
  Sheet(Lie lie, Draw draw) : lie_(lie), draw_(draw) {
    // Coarser than the program's own half a million blocks, to be quick; gaps of 1 mm need those.
    glass_.mm_per_block = draw_.uniform(0.38, 0.48) * (lie == Lie::half_frames ? 0.66 : 1);
    glass_.seed = static_cast<unsigned>(draw_.seed());
    glass_.fall_off = draw_.uniform(0, 0.015);
    glass_.grain = draw_.uniform(0.001, 0.004);  // coarse grain over a block [Selwyn]
    if (draw_.chance(0.3)) {
      glass_.base = {0.35, 0.7, 0.95};
      glass_.gamma = {0.85, 1.0, 1.1};
    } else {
      glass_.base = {draw_.uniform(0.15, 0.4)};
    }
    stock_ = lie == Lie::half_frames ? kHalfFrames
             : lie == Lie::roll_film ? kRollFilm[draw_.index(kRollFilm.size())]
                                     : kSmallFilm;
    tilt_ = draw_.uniform(-2, 2);
  }

  Glass lay() {
    if (lie_ == Lie::mounted) {
      lay_mounts();
    } else {
      lay_strips();
    }
    fit_glass();
    if (has(lie_, Lie::sleeved) && lie_ != Lie::everything) add_sleeve();
    if (has(lie_, Lie::handled)) add_hands();
    if (glass_.frame == 0 && draw_.chance(0.3)) glass_.frame = kBorder * draw_.uniform(0.2, 0.6);
    return std::move(glass_);
  }

 private:
  static constexpr double kBorder = 8;  // of glass around all film, mm

  Shot shot() {
    Shot out;
    out.picture = draw_.chance(0.12)
                      ? basefog::strewn::dark_picture(static_cast<unsigned>(draw_.seed()))
                      : basefog::strewn::any_picture(static_cast<unsigned>(draw_.seed()));
    out.slip = std::clamp(draw_.normal(0, 0.12), -0.3, 0.3);
    return out;
  }

  /// Clear, evenly dark, or split in two by one edge.
  Shot plain_shot() {
    Shot out;
    const double which = draw_.uniform(0, 1);
    if (which < 0.7) {
      out.picture = basefog::strewn::even_picture(which < 0.35 ? 0.0 : draw_.uniform(0.5, 1.4));
      out.plain = which < 0.35;
    } else {
      out.picture =
          basefog::strewn::split_picture(draw_.uniform(0.2, 0.5), draw_.uniform(0.9, 1.4));
    }
    return out;
  }

  int frames_of_strip() {
    if (has(lie_, Lie::cut)) return 1 + static_cast<int>(draw_.index(6));
    if (lie_ == Lie::roll_film) return 3;
    if (lie_ == Lie::half_frames) return 5 + static_cast<int>(draw_.index(5));
    return 4 + static_cast<int>(draw_.index(3));
  }

  Piece strip(const Stock& stock, int frames) {
    Piece piece;
    piece.stock = stock;
    const double gap = stock.pitch - stock.along;
    piece.lead = gap * draw_.uniform(0.5, 1.2);
    piece.length = frames * stock.pitch - gap + piece.lead + gap * draw_.uniform(0.5, 1.2);
    for (int i = 0; i < frames; ++i) piece.shots.push_back(shot());
    if (has(lie_, Lie::cut) && frames > 1) {
      // A pair of scissors that missed the gap.
      if (draw_.chance(0.3)) {
        const double off = stock.along * draw_.uniform(0.2, 0.8);
        piece.lead -= off;
        piece.length -= off;
      }
      if (draw_.chance(0.3)) piece.length -= stock.along * draw_.uniform(0.2, 0.8);
    }
    if (has(lie_, Lie::curled)) piece.bow = draw_.uniform(-1, 1) * piece.length / 230;
    if (has(lie_, Lie::plain) && (lie_ == Lie::plain || draw_.chance(0.2)) && frames > 3) {
      for (int i = 0; i < 2; ++i) piece.shots[1 + draw_.index(frames - 2)] = plain_shot();
    }
    const double lean = has(lie_, Lie::askew)      ? draw_.uniform(-2.5, 2.5)
                        : has(lie_, Lie::touching) ? draw_.uniform(-1, 1)
                                                   : std::clamp(draw_.normal(0, 0.3), -0.6, 0.6);
    piece.angle_degrees = tilt_ + lean;
    return piece;
  }

  /// Space to the strip above, along the line on which it is least; negative: they overlap.
  double space() {
    const bool close = draw_.chance(0.75);
    if (close && has(lie_, Lie::overlapping) && draw_.chance(0.6)) return draw_.uniform(-1.5, -0.3);
    if (close && (has(lie_, Lie::touching) || has(lie_, Lie::overlapping))) return 0;
    if (lie_ == Lie::roll_film && draw_.chance(0.3)) return 0;
    return draw_.uniform(3, 7);
  }

  /// The lowest (or highest) place of a piece at x.
  static double edge(const Piece& piece, double x, bool lower) {
    constexpr int kSteps = 80;
    double best = lower ? -1e9 : 1e9;
    for (int i = 0; i <= kSteps; ++i) {
      for (const double v : {0.0, piece.stock.film_width}) {
        const Point p = basefog::strewn::on_glass(piece, piece.length * i / kSteps, v);
        if (std::abs(p.x - x) > piece.length / kSteps) continue;
        best = lower ? std::max(best, p.y) : std::min(best, p.y);
      }
    }
    return best;
  }

  /// Lays a piece below all others that it would meet.
  void put_below(Piece piece, double x, double gap) {
    piece.centre = {x, 0};
    double down = -1e9;
    for (double at = x - piece.length / 2; at <= x + piece.length / 2; at += 2) {
      const double upper = edge(piece, at, false);
      if (upper > 1e8) continue;
      for (const Piece& other : glass_.pieces) {
        const double lower = edge(other, at, true);
        if (lower > -1e8) down = std::max(down, lower - upper + gap);
      }
    }
    if (down > -1e8) piece.centre.y = down;
    glass_.pieces.push_back(std::move(piece));
  }

  void lay_strips() {
    const int most = stock_.film_width > 40 ? 3 : 5;
    const int rows = 2 + static_cast<int>(draw_.index(most - 1));
    const int panoramic = lie_ == Lie::panoramic ? static_cast<int>(draw_.index(rows)) : -1;
    for (int row = 0; row < rows; ++row) {
      const bool wide = row == panoramic;
      const bool two = !wide && lie_ == Lie::touching && draw_.chance(0.25);
      if (!two) {
        put_below(strip(wide ? kPanoramic : stock_, wide ? 3 : frames_of_strip()),
                  draw_.uniform(-8, 8), space());
        continue;
      }
      // Two short strips end to end.
      Piece left = strip(stock_, 3);
      Piece right = strip(stock_, 2);
      const double gap = draw_.chance(0.5) ? 0.0 : draw_.uniform(1, 5);
      put_below(left, -left.length / 2, space());
      right.centre = glass_.pieces.back().centre;
      right.centre.x += left.length / 2 + right.length / 2 + gap;
      const double lean = (left.angle_degrees - right.angle_degrees) * 0.0174533;
      right.centre.x += std::abs(lean) * right.stock.film_width / 2;
      right.centre.y -= (left.length + right.length) / 2 * left.angle_degrees * 0.0174533;
      glass_.pieces.push_back(std::move(right));
    }
    if (lie_ == Lie::handled || draw_.chance(0.2)) turn_over();
  }

  /// Film laid the other way round.
  void turn_over() {
    for (Piece& piece : glass_.pieces) {
      piece.angle_degrees += 180;
      std::reverse(piece.shots.begin(), piece.shots.end());
    }
  }

  void lay_mounts() {
    const int rows = 2 + static_cast<int>(draw_.index(2));
    const int columns = 2 + static_cast<int>(draw_.index(2));
    for (int y = 0; y < rows; ++y) {
      for (int x = 0; x < columns; ++x) {
        Piece piece;
        piece.stock = kSmallFilm;
        piece.length = 38;
        piece.mount = 50;
        piece.shots.push_back(shot());
        piece.angle_degrees = draw_.uniform(-1.5, 1.5);
        piece.centre = {x * draw_.uniform(53, 56), y * draw_.uniform(53, 56)};
        glass_.pieces.push_back(std::move(piece));
      }
    }
  }

  /// Glass around all that lies on it, or a border that cuts the last strip.
  void fit_glass() {
    Point low{1e9, 1e9};
    Point high{-1e9, -1e9};
    for (const Piece& piece : glass_.pieces) {
      const double more = piece.mount > 0 ? (piece.mount - piece.stock.film_width) / 2 : 0;
      for (int i = 0; i <= 20; ++i) {
        for (const double v : {-more, piece.stock.film_width + more}) {
          const double u = -more + (piece.length + 2 * more) * i / 20;
          const Point p = basefog::strewn::on_glass(piece, u, v);
          low = {std::min(low.x, p.x), std::min(low.y, p.y)};
          high = {std::max(high.x, p.x), std::max(high.y, p.y)};
        }
      }
    }
    for (Piece& piece : glass_.pieces) {
      piece.centre.x += kBorder - low.x;
      piece.centre.y += kBorder - low.y;
    }
    glass_.width = high.x - low.x + 2 * kBorder;
    glass_.height = high.y - low.y + 2 * kBorder;
    if (lie_ == Lie::off_glass) glass_.width -= kBorder + draw_.uniform(12, 30);
  }

  void add_sleeve() {
    glass_.sleeve = draw_.uniform(0.01, 0.03);
    glass_.sleeve_border = kBorder * 0.4;
    for (std::size_t i = 1; i < glass_.pieces.size(); ++i) {
      const Point& a = glass_.pieces[i - 1].centre;
      const Point& b = glass_.pieces[i].centre;
      const double y = (a.y + b.y) / 2;
      const double rise = std::tan(tilt_ * 0.0174533) * glass_.width / 2;
      glass_.bars.push_back({{glass_.sleeve_border, y + rise},
                             {glass_.width - glass_.sleeve_border, y - rise},
                             draw_.uniform(0.5, 1.2),
                             draw_.uniform(0.1, 0.4)});
    }
    for (int i = 0; i < 3; ++i) {
      const double x = draw_.uniform(20, glass_.width - 20);
      glass_.bars.push_back(
          {{x, draw_.uniform(0, glass_.height / 2)},
           {x + draw_.uniform(-30, 30), draw_.uniform(glass_.height / 2, glass_.height)},
           draw_.uniform(0.8, 2),
           draw_.uniform(-0.02, 0.02)});
    }
  }

  void add_hands() {
    const int fingers = 1 + static_cast<int>(draw_.index(2));
    for (int i = 0; i < fingers; ++i) {
      const double y = draw_.uniform(10, glass_.height - 10);
      const bool left = draw_.chance(0.5);
      glass_.fingers.push_back(
          {{left ? 0.0 : glass_.width, y}, {kBorder + draw_.uniform(0.5, 4), draw_.uniform(6, 9)}});
    }
    if (draw_.chance(0.6)) {
      // A ruler below the film.
      const double more = draw_.uniform(14, 24);
      const double y = glass_.height + more / 2 - 2;
      glass_.height += more;
      glass_.bars.push_back({{draw_.uniform(0, 20), y},
                             {glass_.width - draw_.uniform(0, 20), y},
                             more - 8,
                             draw_.uniform(0.08, 0.5),
                             1.0});
    }
  }

  Lie lie_;
  Draw draw_;
  Glass glass_;
  Stock stock_;
  double tilt_ = 0;
};

}  // namespace

std::string_view name_of(Lie lie) {
  static constexpr std::array<std::string_view, kLies> kNames = {
      "apart",       "touching",  "overlapping",  "askew",     "cut",
      "curled",      "sleeved",   "handled",      "mounted",   "roll film",
      "half frames", "panoramic", "plain frames", "off glass", "everything"};
  return kNames.at(static_cast<std::size_t>(lie));
}

Glass draw_sheet(Lie lie, std::uint64_t seed, int number) {
  return Sheet(lie, Draw(simulator::Noise(seed)
                             .fork(static_cast<std::uint64_t>(lie))
                             .fork(static_cast<std::uint64_t>(number))))
      .lay();
}

}  // namespace validation

// SPDX-License-Identifier: GPL-3.0-or-later
// Frames in strips stay together: those that show nothing keep their places, those that the glass
// cuts are told as cut, and one frame with an upright edge stays one.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "basefog/area/film_area.hpp"
#include "makers/drawn_scan.hpp"
#include "makers/strewn_film.hpp"

namespace basefog::area {
namespace {

/// A frame as it was drawn, on the scan.
FrameRegion region_of(const strewn::DrawnFrame& frame) {
  const auto& c = frame.corners;
  const auto apart = [](const strewn::Point& a, const strewn::Point& b) {
    return std::hypot(a.x - b.x, a.y - b.y);
  };
  FrameRegion region{};
  region.centre_x = (c[0].x + c[1].x + c[2].x + c[3].x) / 4;
  region.centre_y = (c[0].y + c[1].y + c[2].y + c[3].y) / 4;
  region.width = apart(c[0], c[1]);
  region.height = apart(c[1], c[2]);
  region.angle_degrees = std::atan2(c[1].y - c[0].y, c[1].x - c[0].x) * 180 / std::numbers::pi;
  return region;
}

strewn::Glass strip(const std::vector<strewn::Picture>& pictures, unsigned seed) {
  strewn::Glass glass;
  strewn::Piece piece;
  piece.length = piece.stock.pitch * static_cast<double>(pictures.size()) + 2;
  glass.width = piece.length + 30;
  glass.height = 70;
  glass.seed = seed;
  piece.centre = {glass.width / 2, glass.height / 2};
  piece.angle_degrees = seed % 2 == 0 ? 0.6 : -0.4;
  for (const strewn::Picture& picture : pictures) piece.shots.push_back({.picture = picture});
  glass.pieces.push_back(piece);
  return glass;
}

/// Each drawn frame has a found one at its own place in the order, and there are no others.
void expect_all_in_place(const strewn::Glass& glass, const std::string& what) {
  const FilmLayout layout = find_film(strewn::draw(glass));
  const auto frames = strewn::frames_of(glass);
  ASSERT_EQ(layout.frames.size(), frames.size()) << what;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    EXPECT_GT(drawn::overlap(layout.frames[i], region_of(frames[i])), 0.9)
        << what << ", frame " << i + 1;
  }
}

TEST(FramesInStrips, of_which_two_are_blank_or_evenly_dark_keep_their_places) {
  const std::vector<std::pair<std::size_t, std::size_t>> places = {{1, 4}, {2, 3}, {1, 2}, {3, 4}};
  unsigned seed = 1;
  for (const auto& [first, second] : places) {
    // Clear, as where the lens cap was on; dark all over, as where light fell in.
    for (const double density : {0.0, 1.6}) {
      std::vector<strewn::Picture> pictures;
      for (unsigned k = 0; k < 6; ++k) pictures.push_back(strewn::any_picture(10 * seed + k));
      pictures[first] = pictures[second] = strewn::even_picture(density);
      expect_all_in_place(strip(pictures, seed), "frames " + std::to_string(first + 1) + " and " +
                                                     std::to_string(second + 1) + " of density " +
                                                     std::to_string(density));
      ++seed;
    }
  }
}

TEST(FramesInStrips, half_off_the_glass_are_told_as_cut) {
  constexpr unsigned kDarkAtTheEdge = 3;
  for (unsigned seed = 1; seed <= 6; ++seed) {
    std::vector<strewn::Picture> pictures;
    for (unsigned k = 0; k < 4; ++k) pictures.push_back(strewn::any_picture(100 * seed + k));
    strewn::Glass glass = strip(pictures, seed);
    // The last frame's middle lies on the glass's edge.
    glass.width = 15 + 2 + 3.5 * glass.pieces[0].stock.pitch;
    const FilmLayout layout = find_film(strewn::draw(glass));
    const auto frames = strewn::frames_of(glass);
    ASSERT_GE(layout.frames.size(), 3U) << seed;
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_GT(drawn::overlap(layout.frames[i], region_of(frames[i])), 0.9) << seed << ", " << i;
      EXPECT_FALSE(layout.frame_flags[i].contains(Flag::frame_cut)) << seed << ", " << i;
    }
    // Dark along the glass's edge it looks like a holder's mask.
    if (seed == kDarkAtTheEdge) continue;
    ASSERT_EQ(layout.frames.size(), 4U) << seed;
    EXPECT_TRUE(layout.frame_flags[3].contains(Flag::frame_cut)) << seed;
  }
}

TEST(FramesInStrips, one_with_a_strong_upright_edge_is_not_two_half_frames) {
  unsigned seed = 1;
  for (const double left : {0.2, 0.4, 0.7}) {
    for (const double right : {0.9, 1.2, 1.6}) {
      for (const bool turned : {false, true}) {
        const strewn::Picture picture =
            turned ? strewn::split_picture(right, left) : strewn::split_picture(left, right);
        expect_all_in_place(strip({picture}, seed++),
                            std::to_string(left) + " beside " + std::to_string(right));
      }
    }
  }
}

}  // namespace
}  // namespace basefog::area

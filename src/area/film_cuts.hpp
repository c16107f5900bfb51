// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <opencv2/core.hpp>

namespace basefog::area {

// Pieces of film that touch are told apart by their form.
//
// Method. A piece of film is a rectangle. Where pieces touch or overlap, the outline of both has
// corners that point inwards. Cuts are tried from each such corner, along both edges that meet
// there and to each other such corner; the one that leaves parts which fill their least rectangles
// best is made, and each part is looked at in its turn.
//
// Assumes. The film of one scan has one width, so that no part is less than half as wide as
// another: what a row of sprocket holes at the border of a scan leaves of the film is no piece.
//
// Costs. With c corners some c (c + 3) / 2 cuts a step, each a pass over the piece's cells.
//
// Fails. Pieces that together make a rectangle stay one: strips of one length side by side
// (find_bands tells those apart), strips end to end in one line.
//
// Source. Ours (judgement).

/// Takes out of a picture of film (255) the lines along which pieces that touch are cut.
void cut_film_apart(cv::Mat1b& film);

}  // namespace basefog::area

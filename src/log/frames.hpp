// SPDX-License-Identifier: GPL-3.0-or-later
// Frame labels of a log, and the words that say what kind of frame it was.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace basefog::log {

/// Labels that one frame cell stands for: "7", "#7" and "frame 7" are 7; "12-14", "12 to 14" are
/// 12, 13, 14; "12, 13" and "12 & 13" are two. A range longer than 100 frames stays one label.
/// Never empty.
std::vector<std::string> frames_in(std::string_view text);

/// True where every label of a frame column is "ROLL-FRAME" with one roll: a range in no row.
bool labels_carry_roll(const std::vector<std::string>& column);
/// The part of "ROLL-FRAME" behind the last hyphen or slash.
std::string without_roll(std::string_view label);

/// True for words that say that no picture was taken: "blank", "lead-in", "lens cap on".
bool says_no_picture(std::string_view words);
/// True for words that say that flash was used.
bool says_flash(std::string_view words);

/// True for a mark that stands for the value above: ", '', "ditto", "same", an arrow down. A hyphen
/// is one too where `hyphen_repeats`.
bool is_ditto(std::string_view text, bool hyphen_repeats);

}  // namespace basefog::log

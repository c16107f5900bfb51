// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "report/svg_axis.hpp"

// Charts as inline SVG. Colours come from the page's style sheet; every chart has a text
// alternative, and what colour says, sign, place or word says too.
namespace basefog::page {

/// Class of a mark by what was wanted: "under", "over" or, also where that is not known, "well".
std::string verdict_class(const roll::FrameResult& frame);

/// The stops about the aim from -3 to +3: dot, interval, and a triangle below for what the
/// settings asked for. Empty without a known exposure.
std::string ruler_svg(const roll::FrameResult& frame);

/// Exposure of each frame in film order with its interval, and what the settings asked for.
std::string roll_chart(const roll::Analysis& analysis);

/// Shares of a frame by exposure over the zones 0 to X, with speed point, aim and highlight limit;
/// what is lost is shaded. Empty without a histogram.
std::string histogram_chart(const reading::FrameReading& reading);

/// A dotted upright with its name above, at a place of an axis of stops.
void put_mark(std::string& out, const report::Axis& x, double stops, double top, double bottom,
              const char* name);

/// The film's curve against exposure from the aim, with how well it is known as a fading band and
/// each frame on it; below, each frame's tones from shadow to highlight and its exposure with its
/// interval.
std::string curve_chart(const roll::Analysis& analysis);

/// One place along the axis of a bias chart: a marked speed or aperture, a range of light, a scene
/// word.
struct BiasGroup {
  std::string name;
  std::vector<std::size_t> frames;  ///< indexes into Analysis::frames
  std::vector<std::string> names;   ///< one a frame
  std::vector<double> stops;        ///< one a frame: deviation, or what the scene needed
  /// Where the group lies as a whole, with its interval, where the model or enough frames say.
  std::optional<StopsEstimate> level;
};

/// Groups of frames by shutter speed and aperture (as logged; level: the camera's bias and what the
/// model adds for it), by light level (two EV wide; level: the mean) and by scene word (what it
/// needed beyond a true meter, dialled or not; level: the model's). Only of frames that surely have
/// their row and whose value is known from both sides.
std::vector<BiasGroup> groups_by_shutter(const roll::Analysis& analysis);
std::vector<BiasGroup> groups_by_aperture(const roll::Analysis& analysis);
std::vector<BiasGroup> groups_by_light(const roll::Analysis& analysis);
std::vector<BiasGroup> groups_by_scene(const roll::Analysis& analysis);

/// Stops per group: a dot for each frame that leads to it; the camera's bias with its interval as a
/// band; the group's level as a cross. Empty without groups.
std::string bias_chart(const roll::Analysis& analysis, const std::vector<BiasGroup>& groups,
                       const std::string& title);

/// The same for words, which need room: a row a group, longest lists last.
std::string scene_chart(const std::vector<BiasGroup>& groups, const std::string& title);

}  // namespace basefog::page

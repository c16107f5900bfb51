// SPDX-License-Identifier: GPL-3.0-or-later
#include "page/far_frames.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// From here on a dot is seen to lie apart (judgement).
constexpr double kFar = 0.5;

/// A frame's cross in the chart where it has one.
const BiasGroup* group_of(const std::vector<BiasGroup>& chart, std::size_t frame) {
  const auto found = std::ranges::find_if(chart, [&](const BiasGroup& group) {
    return group.level && std::ranges::find(group.frames, frame) != group.frames.end();
  });
  return found == chart.end() ? nullptr : &*found;
}

/// The setting in another chart whose own error is half and more of what the dot is off by.
std::optional<std::string> setting_behind(const roll::Analysis& analysis,
                                          std::span<const std::vector<BiasGroup>> charts,
                                          const std::vector<BiasGroup>& own, std::size_t frame,
                                          double off) {
  for (const std::vector<BiasGroup>& chart : charts) {
    const BiasGroup* other = &chart == &own ? nullptr : group_of(chart, frame);
    if (other == nullptr) continue;
    const double effect = (other->level->value - analysis.meter->bias->value).value();
    if (effect * off > 0 && std::abs(effect) >= std::abs(off) / 2) return other->name;
  }
  return std::nullopt;
}

bool reaches(const StopsEstimate& range, Stops place) {
  return (!range.low || *range.low <= place) && (!range.high || *range.high >= place);
}

struct Reasons {
  std::map<std::string, std::vector<std::string>> by_setting;  ///< frames' names by "f/16"
  std::vector<std::string> by_range;
  std::vector<std::string> unknown;
};

std::string frames_named(const std::vector<std::string>& names) {
  constexpr std::size_t kMost = 12;
  return (names.size() == 1 ? "frame " : "frames ") + report::list_text(names, kMost);
}

}  // namespace

std::vector<std::string> far_frame_texts(const roll::Analysis& analysis,
                                         std::span<const std::vector<BiasGroup>> charts) {
  if (!analysis.meter || !analysis.meter->bias) return {};
  Reasons reasons;
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    for (const std::vector<BiasGroup>& chart : charts) {
      const BiasGroup* group = group_of(chart, i);
      if (group == nullptr || !analysis.frames[i].deviation) continue;
      const StopsEstimate& deviation = *analysis.frames[i].deviation;
      const double off = (deviation.value - group->level->value).value();
      if (std::abs(off) < kFar) continue;
      if (const auto setting = setting_behind(analysis, charts, chart, i, off)) {
        reasons.by_setting[*setting].push_back(names[i]);
      } else if (reaches(deviation, group->level->value)) {
        reasons.by_range.push_back(names[i]);
      } else {
        reasons.unknown.push_back(names[i]);
      }
      break;  // once a frame
    }
  }
  std::vector<std::string> texts;
  for (const auto& [setting, frames] : reasons.by_setting) {
    texts.push_back(
        fmt::format("Far from a cross by the error of {}: {}.", setting, frames_named(frames)));
  }
  if (!reasons.by_range.empty()) {
    texts.push_back(
        fmt::format("Far from a cross, but no farther than their own range reaches: {}.",
                    frames_named(reasons.by_range)));
  }
  if (!reasons.unknown.empty()) {
    texts.push_back(
        fmt::format("Far from a cross for no reason that the log holds: {}. Was it set "
                    "as written?",
                    frames_named(reasons.unknown)));
  }
  return texts;
}

}  // namespace basefog::page

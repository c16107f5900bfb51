// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/warning_groups.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <variant>

#include "basefog/log/scene_light.hpp"
#include "report/warning_wording.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// More frames than this are counted, not named.
constexpr std::size_t kMostNames = 8;

/// True where a warning about a scan is about this frame of it.
bool concerns(const roll::Warning& warning, const roll::Analysis& analysis,
              const roll::FrameResult& frame) {
  if (frame.measurement.file != *warning.file || !frame.flags.contains(warning.flag)) return false;
  if (warning.flag != Flag::log_contradicts_scene || !frame.scene_ev) return true;
  // Frames of a scan that share this flag differ in what contradicts what.
  const log::LogRow* row = row_of(analysis, frame);
  const auto* stated = std::get_if<log::SceneContradiction>(&warning.fact);
  return row == nullptr || stated == nullptr ||
         log::scene_contradiction(*row, *frame.scene_ev) == *stated;
}

// What an InputError says continues a file's name, without an end of its own.
std::string ended(std::string text) {
  if (!text.empty() && text.back() != '.') text += '.';
  return text;
}
std::string begun(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] += 'A' - 'a';
  return text;
}

}  // namespace

std::vector<WarningGroup> grouped_warnings(const roll::Analysis& analysis) {
  const std::vector<std::string> names = frame_names(analysis);
  std::vector<WarningGroup> groups;
  // A name once, however many warnings a scan of several frames got.
  const auto add_name = [](WarningGroup& group, const std::string& name) {
    if (std::ranges::find(group.frames, name) == group.frames.end()) group.frames.push_back(name);
  };
  for (const roll::Warning& warning : analysis.warnings) {
    const std::string text = ended(warning_text(warning));
    const std::string next_step = ended(begun(next_step_text(warning)));
    auto group = std::find_if(groups.begin(), groups.end(), [&](const WarningGroup& g) {
      return g.flag == warning.flag && g.text == text && g.next_step == next_step;
    });
    if (group == groups.end()) {
      groups.push_back({warning.flag, text, next_step, {}, ""});
      group = groups.end() - 1;
    }
    if (!warning.file) continue;
    const bool first = group->frames.empty();
    const std::string file = warning.file->filename().string();
    group->file = first || group->file == file ? file : "";
    if (analysis.log && *warning.file == analysis.log->path) continue;
    bool named = false;
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (!concerns(warning, analysis, analysis.frames[i])) continue;
      add_name(*group, names[i]);
      named = true;
    }
    if (!named) add_name(*group, file);
  }
  return groups;
}

std::string place_text(const WarningGroup& group) {
  if (group.frames.empty()) return group.file.empty() ? "The roll" : "The log (" + group.file + ")";
  if (group.frames.size() > kMostNames) return fmt::format("{} frames", group.frames.size());
  if (group.frames.size() > 1) return "Frames " + list_text(group.frames, kMostNames);
  const std::string& name = group.frames[0];
  if (name == group.file) return name;
  const std::string stem = std::filesystem::path(group.file).stem().string();
  const bool named_by_file = name == stem || name.starts_with(stem + " (");
  return "Frame " + name + (named_by_file ? "" : " (" + group.file + ")");
}

}  // namespace basefog::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/equivalents.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/name_list.hpp"

namespace basefog::log {
namespace {

/// Beyond the last mark of a dial or ring a setting may lie by half of a third stop, the finest
/// step in use.
constexpr double kBeyondLastMark = 1.0 / 6;

const std::vector<FNumber>& stops_of(const Camera& camera, const EquivalentQuestion& question) {
  const bool lens_says = question.lens != nullptr && !question.lens->stops.empty();
  return lens_says ? question.lens->stops : camera.stops;
}

ShutterTime hand_limit(const Camera& camera, const EquivalentQuestion& question) {
  std::optional<double> focal_length = question.focal_length_mm;
  // A zoom without a stated focal length may have been at its longest.
  if (!focal_length && question.lens != nullptr) focal_length = question.lens->longest_mm;
  return hand_hold_limit(camera, focal_length);
}

EquivalentSettings settings_at(const Camera& camera, const EquivalentQuestion& question,
                               ShutterTime time, FNumber stop) {
  EquivalentSettings settings{.shutter = time, .aperture = stop};
  settings.change = exposure_change(time, stop, question.shutter, question.aperture);
  settings.off = settings.change - question.wanted;
  settings.blur = exact(time).seconds() / exact(question.shutter).seconds();
  settings.depth_of_field = exact(stop).value() / exact(question.aperture).value();
  settings.hand_hold_limit = hand_limit(camera, question);
  // 1/60 is as good as the limit 1/50: marks are a stop apart.
  settings.below_hand_hold = exact(time).seconds() > 1.2 * settings.hand_hold_limit.seconds();
  return settings;
}

/// The mark whose exposure comes nearest to what is wanted; nothing where that lies beyond the
/// first or last mark. off_of(mark): its exposure less what is wanted, stops.
template <class Mark, class Off>
std::optional<Mark> nearest_mark(const std::vector<Mark>& marks, const Off& off_of) {
  if (marks.empty()) return std::nullopt;
  const auto best = std::min_element(marks.begin(), marks.end(), [&](Mark a, Mark b) {
    return std::abs(off_of(a)) < std::abs(off_of(b));
  });
  const bool at_end = best == marks.begin() || best == marks.end() - 1;
  if (std::abs(off_of(*best)) <= kBeyondLastMark || !at_end) return *best;
  // Between the last mark and its neighbour all is well; beyond the last it is not.
  if (marks.size() == 1) return std::nullopt;
  const Mark neighbour = best == marks.begin() ? *(best + 1) : *(best - 1);
  const bool between = off_of(*best) * off_of(neighbour) < 0;
  return between ? std::optional(*best) : std::nullopt;
}

}  // namespace

std::string_view name_of(SettingChanged changed) {
  return name_in(std::to_array<std::string_view>({"shutter", "aperture", "both"}), changed);
}

std::vector<EquivalentSettings> equivalent_settings(const Camera& camera,
                                                    const EquivalentQuestion& question) {
  std::vector<EquivalentSettings> all;
  for (const ShutterTime time : camera.shutter) {
    const auto off = [&](FNumber stop) {
      return settings_at(camera, question, time, stop).off.value();
    };
    if (const auto stop = nearest_mark(stops_of(camera, question), off)) {
      all.push_back(settings_at(camera, question, time, *stop));
    }
  }
  return all;
}

namespace {

/// Finds the replacements of one frame.
class ReplacementSearch {
 public:
  ReplacementSearch(const Camera& camera, const ReplacementQuestion& question)
      : camera_(camera), question_(question), old_error_(error_of(question.settings.shutter)) {}

  Replacements run() {
    switch (question_.mode.value_or(ExposureMode::manual)) {
      case ExposureMode::aperture_priority:
        change_time();
        break;
      case ExposureMode::shutter_priority:
        change_stop();
        break;
      case ExposureMode::manual:
      case ExposureMode::program:
        change_time();
        change_stop();
        if (found_.size() < 2 || nearest_off() > kUnseenInPrint.value()) change_both();
        break;
    }
    // What only a tripod makes possible, the lens may by opening up.
    const bool hand_held =
        std::ranges::any_of(found_, [](const EquivalentSettings& s) { return !s.below_hand_hold; });
    if (!hand_held) change_both();
    return result();
  }

 private:
  Stops error_of(ShutterTime time) const {
    for (const KnownShutterError& known : question_.known_errors) {
      if (std::abs(exact(known.shutter).time_value() - exact(time).time_value()) < 0.15) {
        return known.error;
      }
    }
    return Stops(0);
  }

  /// The settings with what their speeds are known to do besides.
  EquivalentSettings at(ShutterTime time, FNumber stop) const {
    EquivalentSettings settings = settings_at(camera_, question_.settings, time, stop);
    const Stops besides = error_of(time) - old_error_;
    settings.change += besides;
    settings.off += besides;
    return settings;
  }

  double nearest_off() const {
    double off = 1e9;
    for (const EquivalentSettings& s : found_) off = std::min(off, std::abs(s.off.value()));
    return off;
  }

  /// Nearer to what is wanted than what was set: a known error of a speed can turn the way about.
  bool helps(const EquivalentSettings& settings) const {
    return abs(settings.off) < abs(question_.settings.wanted);
  }

  void add(const EquivalentSettings& settings) {
    if (!helps(settings)) return;
    const bool same = settings.shutter == question_.settings.shutter &&
                      settings.aperture == question_.settings.aperture;
    const bool known = std::ranges::any_of(found_, [&](const EquivalentSettings& s) {
      return s.shutter == settings.shutter && s.aperture == settings.aperture;
    });
    if (!same && !known) found_.push_back(settings);
  }

  void change_time() {
    const FNumber stop = question_.settings.aperture;
    const auto off = [&](ShutterTime time) { return at(time, stop).off.value(); };
    if (const auto time = nearest_mark(camera_.shutter, off)) add(at(*time, stop));
  }

  void change_stop() {
    const ShutterTime time = question_.settings.shutter;
    const auto off = [&](FNumber stop) { return at(time, stop).off.value(); };
    if (const auto stop = nearest_mark(stops_of(camera_, question_.settings), off)) {
      add(at(time, *stop));
    }
  }

  /// The pair that is nearest to what is wanted; of equals the one that can be held by hand, then
  /// the one whose time changes least.
  void change_both() {
    std::optional<EquivalentSettings> best;
    double least = 1e9;
    for (const ShutterTime time : camera_.shutter) {
      const auto off = [&](FNumber stop) { return at(time, stop).off.value(); };
      const auto stop = nearest_mark(stops_of(camera_, question_.settings), off);
      if (!stop) continue;
      const EquivalentSettings settings = at(time, *stop);
      const double cost = std::abs(settings.off.value()) + (settings.below_hand_hold ? 10 : 0) +
                          0.05 * std::abs(std::log2(settings.blur));
      if (cost < least) {
        least = cost;
        best = settings;
      }
    }
    if (best) add(*best);
  }

  Replacements result() {
    std::ranges::stable_sort(found_, {}, [](const EquivalentSettings& s) {
      return std::abs(s.off.value()) + (s.below_hand_hold ? 10 : 0);
    });
    Replacements replacements;
    for (const EquivalentSettings& settings : found_) {
      Replacement replacement{.settings = settings, .changed = changed_in(settings)};
      const bool automatic = question_.mode && *question_.mode != ExposureMode::manual;
      if (automatic) replacement.compensation = compensation();
      replacements.options.push_back(replacement);
    }
    if (replacements.options.empty()) replacements.none = why_none();
    return replacements;
  }

  SettingChanged changed_in(const EquivalentSettings& settings) const {
    const bool time = settings.shutter != question_.settings.shutter;
    const bool stop = settings.aperture != question_.settings.aperture;
    if (time && stop) return SettingChanged::both;
    return time ? SettingChanged::shutter : SettingChanged::aperture;
  }

  DialledCompensation compensation() const {
    const double step = std::max(camera_.compensation_step.value(), 0.1);
    const Stops all = question_.compensation + question_.settings.wanted;
    const Stops dialled(std::round(all.value() / step) * step);
    const std::optional<Stops>& most = camera_.compensation_most;
    return {.stops = dialled,
            .was = question_.compensation,
            .step = camera_.compensation_step,
            .beyond_dial = most && abs(dialled) > *most + Stops(0.01)};
  }

  NoReplacement why_none() const {
    if (question_.settings.wanted <= Stops(0)) return NoReplacement::too_bright;
    return camera_.bulb ? NoReplacement::too_dark_with_bulb : NoReplacement::too_dark_without_bulb;
  }

  const Camera& camera_;
  const ReplacementQuestion& question_;
  Stops old_error_;
  std::vector<EquivalentSettings> found_;
};

}  // namespace

Replacements replacement_settings(const Camera& camera, const ReplacementQuestion& question) {
  return ReplacementSearch(camera, question).run();
}

}  // namespace basefog::log

// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

#include "core/plain_text.hpp"
#include "page/svg_charts.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// Sorts frames with a value into groups by ordered keys, which also name them.
template <class Key>
std::vector<BiasGroup> grouped(
    const roll::Analysis& analysis,
    const std::function<std::vector<Key>(const roll::FrameResult&, const log::LogRow&)>& keys_of,
    const std::function<std::string(const Key&)>& name,
    const std::function<std::optional<Stops>(const roll::FrameResult&)>& value) {
  std::map<Key, BiasGroup> groups;
  const std::vector<std::string> names = report::frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    const log::LogRow* row = report::row_of(analysis, frame);
    const std::optional<Stops> stops = value(frame);
    if (row == nullptr || !stops) continue;
    for (const Key& key : keys_of(frame, *row)) {
      BiasGroup& group = groups[key];
      group.name = name(key);
      group.frames.push_back(i);
      group.names.push_back(names[i]);
      group.stops.push_back(stops->value());
    }
  }
  std::vector<BiasGroup> list;
  list.reserve(groups.size());
  for (auto& [key, group] : groups) list.push_back(std::move(group));
  return list;
}

/// As the meter's bias is fitted: from frames that surely have their row, and from no bounds.
std::optional<Stops> deviation_of(const roll::FrameResult& frame) {
  if (!frame.deviation || !frame.deviation->two_sided()) return std::nullopt;
  if (frame.flags.contains(Flag::match_doubtful)) return std::nullopt;
  return frame.deviation->value;
}

/// What a frame's scene needed beyond a true meter, dialled or not, as SceneTechnique::stops; where
/// deviation and correction are both values.
std::optional<Stops> needed_beyond_meter(const roll::Analysis& analysis,
                                         const roll::FrameResult& frame) {
  const log::LogRow* row = report::row_of(analysis, frame);
  if (row == nullptr || !frame.technique || !deviation_of(frame)) return std::nullopt;
  if (!frame.reading || !frame.reading->correction.estimate.two_sided()) return std::nullopt;
  log::LogRow beyond_meter = *row;
  beyond_meter.ei.reset();
  return *frame.technique + in_stops(log::expected_exposure(beyond_meter, analysis.film.iso_speed)
                                         .value_or(ExposureFromAim()));
}

/// The words of a scene, parted by commas, semicolons and bars.
std::vector<std::string> parted(const std::string& scene) {
  std::vector<std::string> words;
  std::size_t start = 0;
  while (start <= scene.size()) {
    const std::size_t end = std::min(scene.find_first_of(",;|", start), scene.size());
    words.emplace_back(trimmed(std::string_view(scene).substr(start, end - start)));
    start = end + 1;
  }
  return words;
}

void add_effects(const roll::Analysis& analysis, meter::BiasFactor factor,
                 std::vector<BiasGroup>& groups) {
  if (!analysis.meter || !analysis.meter->bias) return;
  const Stops bias = analysis.meter->bias->value;
  const auto shifted = [bias](std::optional<Stops> end) {
    return end ? std::optional(*end + bias) : std::nullopt;
  };
  for (BiasGroup& group : groups) {
    for (const meter::BiasEffect& effect : analysis.meter->effects) {
      if (effect.factor != factor || effect.level != group.name || !report::is_known(effect.stops))
        continue;
      group.level = StopsEstimate{effect.stops.value + bias, shifted(effect.stops.low),
                                  shifted(effect.stops.high)};
    }
  }
}

double mean_of(const BiasGroup& group) {
  double sum = 0;
  for (double stops : group.stops) sum += stops;
  return sum / static_cast<double>(group.stops.size());
}

/// The mean of three values or more with its 95 % interval, from how they scatter [GUM, 4.2.3];
/// Student's t by the Cornish-Fisher expansion (from memory).
std::optional<StopsEstimate> mean_with_interval(const BiasGroup& group) {
  const double n = static_cast<double>(group.stops.size());
  if (n < 3) return std::nullopt;
  const double mean = mean_of(group);
  double squares = 0;
  for (double stops : group.stops) squares += (stops - mean) * (stops - mean);
  const double z = kNormal975;
  const double v = n - 1;
  const double t =
      z + (z * z * z + z) / (4 * v) + (5 * std::pow(z, 5) + 16 * z * z * z + 3 * z) / (96 * v * v) +
      (3 * std::pow(z, 7) + 19 * std::pow(z, 5) + 17 * z * z * z - 15 * z) / (384 * v * v * v);
  const Stops half(t * std::sqrt(squares / v / n));
  return StopsEstimate{Stops(mean), Stops(mean) - half, Stops(mean) + half};
}

/// Whole stops that hold all dots, at least from -1 to +1 and never more than six to a side.
struct StopsRange {
  double low = -1;
  double high = 1;
};
StopsRange range_of(const std::vector<BiasGroup>& groups) {
  StopsRange range;
  for (const BiasGroup& group : groups) {
    for (double stops : group.stops) {
      range.low = std::min(range.low, std::floor(stops - 0.2));
      range.high = std::max(range.high, std::ceil(stops + 0.2));
    }
  }
  return {std::max(range.low, -6.0), std::min(range.high, 6.0)};
}

std::string stop_name(int stop) {
  return stop == 0 ? "0" : report::typeset(fmt::format("{:+d}", stop));
}

void put_dot(std::string& out, const BiasGroup& group, std::size_t k, double x, double y) {
  report::open_frame_link(out, group.frames[k] + 1, report::escape_markup(group.names[k]),
                          report::typeset(report::signed_stops(Stops(group.stops[k]))));
  report::put(out, "<circle class=\"point\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.5\"/></a>", x, y);
}

void put_group(std::string& out, const BiasGroup& group, double left, double step,
               const report::Axis& y) {
  const double middle = left + step / 2;
  const std::size_t count = group.stops.size();
  // Dots side by side, in film order, so that none hides another.
  const double spread = std::min(step * 0.5, 7.0 * static_cast<double>(count - 1));
  for (std::size_t k = 0; k < count; ++k) {
    const double share = count == 1 ? 0.5 : static_cast<double>(k) / static_cast<double>(count - 1);
    put_dot(out, group, k, middle + spread * (share - 0.5), y.at(group.stops[k]));
  }
  if (group.level) {
    const StopsEstimate& e = *group.level;
    const double low = e.low ? e.low->value() : y.low;
    const double high = e.high ? e.high->value() : y.high;
    report::put(
        out,
        "<line class=\"effect\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.1f}\" y2=\"{2:.1f}\"/>"
        "<line class=\"effect\" x1=\"{3:.1f}\" x2=\"{4:.1f}\" y1=\"{5:.1f}\" y2=\"{5:.1f}\"/>",
        middle, y.at(low), y.at(high), middle - 9, middle + 9, y.at(e.value.value()));
  } else if (count > 1) {
    report::put(
        out, "<line class=\"mean\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:.1f}\" y2=\"{2:.1f}\"/>",
        middle - 9, middle + 9, y.at(mean_of(group)));
  }
}

std::string label_of(const std::string& title, const std::vector<BiasGroup>& groups) {
  std::string label = title + ", in stops.";
  for (const BiasGroup& group : groups) {
    label += fmt::format(" {}: {} over {} frame{}.", group.name,
                         group.level ? report::estimate_text(*group.level)
                                     : report::signed_stops(Stops(mean_of(group))) + " on average",
                         group.stops.size(), group.stops.size() == 1 ? "" : "s");
  }
  return label;
}

}  // namespace

std::vector<BiasGroup> groups_by_shutter(const roll::Analysis& analysis) {
  auto groups = grouped<double>(
      analysis,
      [](const roll::FrameResult&, const log::LogRow& row) -> std::vector<double> {
        if (!row.used.shutter) return {};
        return {-row.used.shutter->seconds()};  // long times first
      },
      [](double key) { return as_marked(ShutterTime(-key)); }, deviation_of);
  add_effects(analysis, meter::BiasFactor::shutter, groups);
  return groups;
}

std::vector<BiasGroup> groups_by_aperture(const roll::Analysis& analysis) {
  auto groups = grouped<double>(
      analysis,
      [](const roll::FrameResult&, const log::LogRow& row) -> std::vector<double> {
        if (!row.used.aperture) return {};
        return {row.used.aperture->value()};
      },
      [](double key) { return as_marked(FNumber(key)); }, deviation_of);
  add_effects(analysis, meter::BiasFactor::aperture, groups);
  return groups;
}

std::vector<BiasGroup> groups_by_light(const roll::Analysis& analysis) {
  auto groups = grouped<int>(
      analysis,
      [](const roll::FrameResult& frame, const log::LogRow&) -> std::vector<int> {
        if (!frame.scene_ev || !std::isfinite(frame.scene_ev->value.value())) return {};
        return {2 * static_cast<int>(std::floor(frame.scene_ev->value.value() / 2))};
      },
      [](int key) { return fmt::format("{} to {}", key, key + 2); }, deviation_of);
  for (BiasGroup& group : groups) group.level = mean_with_interval(group);
  return groups;
}

std::vector<BiasGroup> groups_by_scene(const roll::Analysis& analysis) {
  std::map<std::string, std::string> written;  // as first met, by plain form
  auto groups = grouped<std::string>(
      analysis,
      [&written](const roll::FrameResult&, const log::LogRow& row) {
        std::vector<std::string> words;
        for (const std::string& word : parted(row.scene)) {
          const std::string plain = plain_form(word);
          if (plain.empty() || std::ranges::find(words, plain) != words.end()) continue;
          written.emplace(plain, word);
          words.push_back(plain);
        }
        return words;
      },
      [&written](const std::string& plain) { return written[plain]; },
      [&analysis](const roll::FrameResult& frame) { return needed_beyond_meter(analysis, frame); });
  for (BiasGroup& group : groups) {
    for (const meter::SceneTechnique& technique : analysis.techniques) {
      if (!technique.mode && plain_form(technique.scene) == plain_form(group.name)) {
        group.level = technique.stops;
      }
    }
  }
  return groups;
}

std::string bias_chart(const roll::Analysis& analysis, const std::vector<BiasGroup>& groups,
                       const std::string& title) {
  if (groups.empty()) return "";
  const double left = 40;
  // Room for the longest label, some seven pixels a letter.
  int letters = 5;
  for (const BiasGroup& group : groups)
    letters = std::max(letters, report::display_width(group.name));
  const double step = std::clamp(320.0 / static_cast<double>(groups.size()), 7.0 * letters + 6,
                                 std::max(110.0, 7.0 * letters + 6));
  const int width = static_cast<int>(left + step * static_cast<double>(groups.size())) + 6;
  const StopsRange range = range_of(groups);
  const report::Axis y{range.low, range.high, 180, 14};
  std::string out;
  report::open_chart(out, width, 212,
                     report::escape_markup(report::typeset(label_of(title, groups))),
                     report::ChartKind::with_links);
  const StopsEstimate* bias =
      analysis.meter && analysis.meter->bias && report::is_known(*analysis.meter->bias)
          ? &*analysis.meter->bias
          : nullptr;
  if (bias != nullptr) {
    const double top = y.at(bias->high ? bias->high->value() : y.high);
    const double bottom = y.at(bias->low ? bias->low->value() : y.low);
    report::put(out,
                "<rect class=\"band\" x=\"{:g}\" y=\"{:.1f}\" width=\"{:g}\" height=\"{:.1f}\"/>",
                left, top, width - 6 - left, bottom - top);
  }
  for (int stop = static_cast<int>(y.low); stop <= y.high; ++stop) {
    report::put(out,
                "<line class=\"{0}\" x1=\"{1:g}\" x2=\"{2:d}\" y1=\"{3:.1f}\" y2=\"{3:.1f}\"/>"
                "<text class=\"end\" x=\"{4:g}\" y=\"{5:.1f}\">{6}</text>",
                stop == 0 ? "zero" : "grid", left, width - 6, y.at(stop), left - 8, y.at(stop) + 4,
                stop_name(stop));
  }
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const double start = left + step * static_cast<double>(i);
    put_group(out, groups[i], start, step, y);
    report::put(out, "<text class=\"middle\" x=\"{:.1f}\" y=\"200\">{}</text>", start + step / 2,
                report::escape_markup(groups[i].name));
  }
  return out + "</svg>";
}

std::string scene_chart(const std::vector<BiasGroup>& groups, const std::string& title) {
  if (groups.empty()) return "";
  constexpr double kRow = 24;
  constexpr double kTop = 20;
  const StopsRange range = range_of(groups);
  const report::Axis x{range.low, range.high, 170, 470};
  const double bottom = kTop + kRow * static_cast<double>(groups.size());
  std::string out;
  report::open_chart(out, 480, static_cast<int>(bottom) + 24,
                     report::escape_markup(report::typeset(label_of(title, groups))),
                     report::ChartKind::with_links);
  for (int stop = static_cast<int>(x.low); stop <= x.high; ++stop) {
    report::put(out,
                "<line class=\"{0}\" x1=\"{1:.1f}\" x2=\"{1:.1f}\" y1=\"{2:g}\" y2=\"{3:g}\"/>"
                "<text class=\"middle\" x=\"{1:.1f}\" y=\"{4:g}\">{5}</text>",
                stop == 0 ? "zero" : "grid", x.at(stop), kTop - 6, bottom, bottom + 16,
                stop_name(stop));
  }
  std::vector<std::string> names;
  for (const BiasGroup& group : groups) names.push_back(group.name);
  names = report::short_names(names, 24);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const BiasGroup& group = groups[i];
    const double y = kTop + kRow * (static_cast<double>(i) + 0.5);
    report::put(out, "<text class=\"end\" x=\"160\" y=\"{:g}\">{}</text>", y + 4,
                report::escape_markup(names[i]));
    for (std::size_t k = 0; k < group.stops.size(); ++k) {
      put_dot(out, group, k, x.at(group.stops[k]), y);
    }
    if (group.level) {
      const StopsEstimate& level = *group.level;
      report::put(
          out,
          "<line class=\"effect\" x1=\"{0:.1f}\" x2=\"{1:.1f}\" y1=\"{2:g}\" y2=\"{2:g}\"/>"
          "<line class=\"effect\" x1=\"{3:.1f}\" x2=\"{3:.1f}\" y1=\"{4:g}\" y2=\"{5:g}\"/>",
          x.at(level.low ? level.low->value() : x.low),
          x.at(level.high ? level.high->value() : x.high), y, x.at(level.value.value()), y - 7,
          y + 7);
    } else if (group.stops.size() > 1) {
      report::put(out,
                  "<line class=\"mean\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:g}\" y2=\"{2:g}\"/>",
                  x.at(mean_of(group)), y - 8, y + 8);
    }
  }
  return out + "</svg>";
}

}  // namespace basefog::page

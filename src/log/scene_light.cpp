// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/scene_light.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "core/plain_text.hpp"

namespace basefog::log {
namespace {

struct LightWord {
  std::string_view words;
  double lowest_ev;
  double highest_ev;
};

// Exposure values at ISO 100. A phrase stands before the words in it, so that "night sports" is not
// read as "night".
constexpr auto kPublished = std::to_array<LightWord>({
    // [PH2.7]; a single value is given half a stop to either side, as the table's own steps are.
    {"just after sunset", 9, 11},
    {"just before sunset", 12, 14},
    {"christmas lights", 4, 5},
    {"christmas tree", 4, 5},
    {"heavy overcast", 11.5, 12.5},
    {"night football", 8.5, 9.5},
    {"shop window at night", 7, 8},
    {"window display", 7, 8},
    {"street at night", 7, 8.5},
    {"night street", 7, 8.5},
    {"neon signs", 9, 10},
    {"amusement park", 6.5, 7.5},
    {"cloudy bright", 12.5, 13.5},
    {"bright overcast", 12.5, 13.5},
    {"night sports", 8.5, 9.5},
    {"night traffic", 4.5, 5.5},
    {"burning building", 8.5, 9.5},
    {"distant lights", 1.5, 2.5},
    {"stage show", 8, 9},
    {"full sun", 14.5, 16},
    {"bright sun", 14.5, 16},
    {"hazy sun", 13.5, 15},
    {"hazy", 13.5, 15},
    {"open shade", 11.5, 12.5},
    {"quarter moon", -6.5, -5.5},
    {"full moon", -3, -2},
    {"moonlight", -6.5, -2},
    {"moonlit", -6.5, -2},
    {"northern lights", -6, -3},
    {"aurora", -6, -3},
    {"floodlit", 3, 5},
    {"ice show", 8.5, 9.5},
    {"overcast", 11.5, 13.5},
    {"rainbow", 13.5, 15.5},
    {"circus", 7.5, 8.5},
    {"stage", 8, 9},
    {"concert", 8, 9},
    {"theatre", 8, 9},
    {"gallery", 8, 11},
    {"museum", 8, 11},
    {"office", 7, 8},
    {"living room", 5, 7},
    {"at home", 5, 7},
    {"sunset", 9, 14},
    {"sunrise", 9, 14},
    {"neon", 9, 10},
});

// Common practice, wider, since the word says less.
constexpr auto kCommon = std::to_array<LightWord>({
    {"golden hour", 11, 14}, {"street lamps", 3, 8},  {"street lights", 3, 8},
    {"streetlights", 3, 8},  {"window light", 7, 12}, {"candlelight", 2, 5},
    {"candle", 2, 5},        {"candles", 2, 5},       {"lamplight", 3, 7},
    {"indoors", 4, 11},      {"indoor", 4, 11},       {"inside", 4, 11},
    {"interior", 4, 11},     {"kitchen", 4, 9},       {"bedroom", 4, 8},
    {"church", 2, 9},        {"pub", 2, 8},           {"starry", -10, -4},
    {"stars", -10, -4},      {"blue hour", 1, 9},     {"twilight", 1, 10},
    {"dusk", 2, 11},         {"dawn", 2, 12},         {"night", -6, 10},
    {"snow", 11, 16.5},      {"snowy", 11, 16.5},     {"beach", 11, 16.5},
    {"sunny", 13, 16},       {"sunlit", 13, 16},      {"sunshine", 13, 16},
    {"sun", 13, 16},         {"cloudy", 12, 14},      {"shade", 10.5, 13},
    {"shady", 10.5, 13},     {"fog", 9, 14},          {"foggy", 9, 14},
    {"mist", 9, 14},         {"rain", 9, 13},         {"rainy", 9, 13},
    {"dull", 10.5, 13},      {"gloomy", 8, 12},       {"noon", 11, 16.5},
    {"midday", 11, 16.5},
});

// Light from the side or from behind gives the subject one or two stops less [PH2.7, note], while
// the sky behind it may be brighter than it (judgement).
constexpr double kBehindLess = 2;
constexpr double kBehindMore = 1;

/// Where a phrase stands as whole words, or npos.
std::size_t find_words(std::string_view text, std::string_view words) {
  for (std::size_t at = text.find(words); at != std::string_view::npos;
       at = text.find(words, at + 1)) {
    const std::size_t end = at + words.size();
    const bool starts = at == 0 || !is_letter(text[at - 1]);
    const bool ends = end == text.size() || !is_letter(text[end]);
    if (starts && ends) return at;
  }
  return std::string_view::npos;
}

bool is_denied(std::string_view text, std::size_t at) {
  const std::string_view before = text.substr(0, at);
  return std::ranges::any_of(
      std::to_array<std::string_view>({"no ", "not ", "without ", "out of the ", "hardly "}),
      [&](std::string_view word) { return before.ends_with(word); });
}

/// Takes every phrase of a list out of the text and gives those that are meant.
template <std::size_t N>
void take_words(const std::array<LightWord, N>& list, std::string& text,
                std::vector<LightWord>& found) {
  for (const LightWord& word : list) {
    const std::size_t at = find_words(text, word.words);
    if (at == std::string::npos) continue;
    if (!is_denied(text, at)) found.push_back(word);
    text.replace(at, word.words.size(), "#");
  }
}

}  // namespace

std::optional<SceneLight> scene_light_of(std::string_view words) {
  std::string text = plain_form(words);
  std::ranges::replace(text, '-', ' ');
  const std::string whole = text;
  std::vector<LightWord> found;
  take_words(kPublished, text, found);
  take_words(kCommon, text, found);
  if (found.empty()) return std::nullopt;
  SceneLight both{found[0].lowest_ev, found[0].highest_ev, std::string(found[0].words)};
  SceneLight either = both;
  for (std::size_t i = 1; i < found.size(); ++i) {
    both.lowest_ev = std::max(both.lowest_ev, found[i].lowest_ev);
    both.highest_ev = std::min(both.highest_ev, found[i].highest_ev);
    either.lowest_ev = std::min(either.lowest_ev, found[i].lowest_ev);
    either.highest_ev = std::max(either.highest_ev, found[i].highest_ev);
    both.words += ", " + std::string(found[i].words);
  }
  either.words = both.words;
  SceneLight light = both.lowest_ev <= both.highest_ev ? both : either;
  for (const std::string_view behind :
       {"backlit", "backlight", "back lit", "against the light", "against the sun", "contre jour",
        "into the sun", "side light", "sidelit", "silhouette"}) {
    if (find_words(whole, behind) == std::string::npos) continue;
    light.lowest_ev -= kBehindLess;
    light.highest_ev += kBehindMore;
    light.words += ", " + std::string(behind);
    break;
  }
  return light;
}

std::optional<SceneLight> scene_light_of(const LogRow& row) {
  if (row.flash || row.no_picture) return std::nullopt;
  return scene_light_of(row.scene + " ; " + row.note);
}

std::optional<StopsEstimate> scene_ev_100(const LogRow& row, FilmSpeed film_speed,
                                          const Estimate<ExposureFromAim>& exposure,
                                          Stops reciprocity_loss) {
  if (row.flash || row.no_picture || !row.used.shutter || !row.used.aperture) return std::nullopt;
  const Stops shift(exposure_value_100(*row.used.shutter, *row.used.aperture, film_speed) +
                    row.filter.value_or(Stops(0)).value() + reciprocity_loss.value());
  StopsEstimate scene = in_stops(exposure);
  scene.value += shift;
  if (scene.low) *scene.low += shift;
  if (scene.high) *scene.high += shift;
  return scene;
}

bool words_disagree(const SceneLight& words, const StopsEstimate& scene_ev) {
  const bool darker = scene_ev.high && scene_ev.high->value() < words.lowest_ev - kSubjectSpread;
  const bool brighter = scene_ev.low && scene_ev.low->value() > words.highest_ev + kSubjectSpread;
  return darker || brighter;
}

std::optional<SceneContradiction> scene_contradiction(const LogRow& row,
                                                      const StopsEstimate& scene_ev) {
  std::optional<SceneLight> words = scene_light_of(row);
  if (!words || !words_disagree(*words, scene_ev)) return std::nullopt;
  return SceneContradiction{*std::move(words), scene_ev};
}

}  // namespace basefog::log

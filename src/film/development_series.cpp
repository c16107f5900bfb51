// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "basefog/film/film_test.hpp"
#include "core/plain_text.hpp"

namespace basefog::film {
namespace {

/// The number above 0 that stands before a unit, such as 8 in "8 min", whatever the letters' case;
/// the unit may be the beginning of a word where it is longer than a letter.
std::optional<double> number_before(std::string_view words, std::string_view unit) {
  constexpr std::size_t kMostDigits = 12;  // more is no time
  const auto is_of_number = [](char c) { return (c >= '0' && c <= '9') || c == '.'; };
  std::string text = lower_case(std::string(words));
  std::ranges::replace(text, ',', '.');
  for (std::size_t at = text.find(unit); at != std::string::npos; at = text.find(unit, at + 1)) {
    const char after = at + unit.size() < text.size() ? text[at + unit.size()] : ' ';
    if (unit.size() == 1 && std::isalnum(static_cast<unsigned char>(after)) != 0) continue;
    std::size_t end = at;
    while (end > 0 && text[end - 1] == ' ') --end;
    std::size_t begin = end;
    while (begin > 0 && end - begin < kMostDigits && is_of_number(text[begin - 1])) --begin;
    double value = 0;
    const auto [stop, error] = std::from_chars(text.data() + begin, text.data() + end, value);
    if (error == std::errc() && stop == text.data() + end && value > 0) return value;
  }
  return std::nullopt;
}

/// Straight line through (x, y): slope and its standard deviation from the scatter about the line.
std::optional<Estimate<double>> slope(const std::vector<double>& x, const std::vector<double>& y) {
  const auto n = static_cast<double>(x.size());
  if (x.size() < 3) return std::nullopt;
  double mean_x = 0;
  double mean_y = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mean_x += x[i] / n;
    mean_y += y[i] / n;
  }
  double xx = 0;
  double xy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
  }
  if (!(xx > 0)) return std::nullopt;
  const double b = xy / xx;
  double left = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double miss = y[i] - mean_y - b * (x[i] - mean_x);
    left += miss * miss;
  }
  // Student's t at 97.5 %, for 1 to 10 degrees of freedom (from memory), beyond as the normal's.
  constexpr std::array kStudent = {12.706, 4.303, 3.182, 2.776, 2.571,
                                   2.447,  2.365, 2.306, 2.262, 2.228};
  const std::size_t freedom = x.size() - 2;
  const double t = freedom <= kStudent.size() ? kStudent[freedom - 1] : kNormal975;
  const double half = t * std::sqrt(left / static_cast<double>(freedom) / xx);
  return Estimate<double>{b, b - half, b + half};
}

}  // namespace

bool ExposurePair::agrees() const {
  const Stops added = Stops::from_ratio(times);
  return *shift.low <= added && added <= *shift.high;
}

DevelopmentSeries compare_developments(std::span<const FilmTestSeries> series, FilmKind kind) {
  DevelopmentSeries all;
  for (const FilmTestSeries& one : series) {
    all.results.push_back({one.name, number_before(one.name, "min"), number_before(one.name, "e"),
                           calibrate_film(one, kind)});
  }
  std::vector<double> doublings;
  std::vector<double> gradients;
  std::vector<double> speeds;
  for (std::size_t i = 0; i < all.results.size(); ++i) {
    const DevelopmentResult& result = all.results[i];
    const FilmTestLayer& layer = result.test.layers.front();
    if (result.minutes && !result.exposed_times) {
      doublings.push_back(std::log2(*result.minutes));
      gradients.push_back(layer.average_gradient.value);
      speeds.push_back(-Stops::from_log10(layer.speed_point_log_h.value).value());
    }
    if (!result.exposed_times) continue;
    for (std::size_t once = 0; once < all.results.size(); ++once) {
      const DevelopmentResult& other = all.results[once];
      if (other.exposed_times || other.minutes != result.minutes) continue;
      if (const auto shift = exposure_shift(other.test, series[i])) {
        all.pairs.push_back({once, i, *result.exposed_times, *shift});
      }
    }
  }
  all.gradient_gain = slope(doublings, gradients);
  if (const auto gain = slope(doublings, speeds)) {
    all.speed_gain = StopsEstimate{Stops(gain->value), Stops(*gain->low), Stops(*gain->high)};
  }
  return all;
}

}  // namespace basefog::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/roll_reading.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

#include "ensemble/evidence.hpp"
#include "ensemble/frame_under_film.hpp"
#include "ensemble/weights.hpp"
#include "reading/metering.hpp"
#include "reading/net_densities.hpp"

namespace basefog::ensemble {
namespace {

using reading::Quantity;

constexpr std::size_t kMembersADraw = 128;

std::vector<GroupedFrame> grouped(std::span<const FrameToRead> frames,
                                  const film::FilmProfile& film) {
  std::vector<GroupedFrame> result;
  for (const FrameToRead& frame : frames) {
    reading::NetDensities densities = reading::net_densities(*frame.measurement, *frame.base, film);
    if (frame.options.response_sigma) densities.response_sigma = *frame.options.response_sigma;
    const auto meterings =
        reading::possible_meterings(frame.options, densities.columns, densities.rows);
    result.push_back(group_apertures(densities, film, meterings));
    result.back().own_base = frame.base->kind == density::ReferenceKind::rebate;
    result.back().base_clipped = frame.base->flags.contains(Flag::clipped_base);
  }
  return result;
}

const GroupedLayer* layer_of(const GroupedFrame& frame, std::size_t layer) {
  const auto found = std::ranges::find(frame.layers, layer, &GroupedLayer::layer);
  return found == frame.layers.end() ? nullptr : &*found;
}

/// The greatest net density of a layer, and how many frames of the roll come as near to it as one.
struct GreatestDensity {
  double density = 0;
  std::size_t frames = 0;
};

/// Where the scan ends, densities say nothing of the film.
GreatestDensity greatest_density(std::span<const GroupedFrame> frames, std::size_t layer) {
  std::vector<double> greatest;
  for (const GroupedFrame& frame : frames) {
    const GroupedLayer* in = layer_of(frame, layer);
    if (in == nullptr || in->greatest_density + kSameDensity >= in->densest) continue;
    greatest.push_back(in->greatest_density);
  }
  if (greatest.empty()) return {};
  const double most = std::ranges::max(greatest);
  const auto as_much = [most](double d) { return d >= most - kSameDensity; };
  return {most, static_cast<std::size_t>(std::ranges::count_if(greatest, as_much))};
}

/// What reaches the density at which several frames end got any more light than that.
void end_at(GroupedFrame& frame, std::size_t layer, double density) {
  const GroupedLayer* in = layer_of(frame, layer);
  if (in == nullptr) return;
  for (std::size_t g = 0; g < frame.groups(); ++g) {
    if (in->density[g] >= density) frame.beyond[g] = 1;
  }
  frame.range_is_cut |= frame.beyond[frame.group_at(reading::kHighlightPercentile)] > 0;
}

/// The most frames that show their layer's end; what they show there becomes a bound.
std::size_t end_with_film(std::vector<GroupedFrame>& frames, std::size_t layers) {
  std::size_t most = 1;
  for (std::size_t l = 0; l < layers; ++l) {
    const GreatestDensity greatest = greatest_density(frames, l);
    most = std::max(most, greatest.frames);
    if (greatest.frames < 2) continue;
    for (GroupedFrame& frame : frames) end_at(frame, l, greatest.density - kSameDensity);
  }
  return most;
}

/// Every frame under every member.
class RollUnderFilms {
 public:
  RollUnderFilms(std::span<const FrameToRead> frames, const film::FilmProfile& film, const Aim& aim)
      : asked_(frames),
        film_(film),
        aim_(above_speed_point(aim.log_exposure(), film.speed_point())),
        frames_(grouped(frames, film)),
        at_end_(end_with_film(frames_, film.layers.size())),
        under_(frames.size()),
        members_(draw_from_prior(kMembersADraw)) {
    read_members();
    const bool colour =
        std::ranges::any_of(frames_, [](const auto& frame) { return frame.layers.size() > 1; });
    draw_again(members_, log_weights(), latents_of(colour));
    read_members();
    weights_ = normalised(log_weights());
    let_rows_speak();
  }

  const std::vector<double>& weights() const { return weights_; }
  const std::vector<FrameUnderFilm>& frame(std::size_t f) const { return under_[f]; }

 private:
  void read_members() {
    const std::size_t first = under_.front().size();
    for (std::size_t m = first; m < members_.size(); ++m) {
      const MemberFilm film(film_, members_[m]);
      for (std::size_t f = 0; f < frames_.size(); ++f) {
        under_[f].push_back(read_under(frames_[f], f, film, aim_));
      }
    }
  }

  std::optional<Deviation> deviation_of(std::size_t f, std::size_t m) const {
    if (!asked_[f].asked) return {};
    const FrameUnderFilm& under = under_[f][m];
    Deviation deviation{under.exposures, under.chances, under.log_slope};
    for (double& stops : deviation.stops) stops -= asked_[f].asked->value();
    return deviation;
  }

  Agreement agreement_under(std::size_t m) const {
    std::vector<Deviation> deviations;
    for (std::size_t f = 0; f < frames_.size(); ++f) {
      if (auto deviation = deviation_of(f, m)) deviations.push_back(std::move(*deviation));
    }
    return Agreement(deviations);
  }

  double log_of_greatest_density(std::size_t m) const {
    double over = -std::numeric_limits<double>::infinity();
    for (const auto& frame : under_) over = std::max(over, std::ranges::max(frame[m].over_end));
    return log_of_density(over, at_end_);
  }

  double log_likelihood(std::size_t m) const {
    std::vector<Range> ranges;
    for (std::size_t f = 0; f < frames_.size(); ++f) {
      ranges.push_back({under_[f][m].likely_range, frames_[f].range_is_cut});
    }
    return log_of_greatest_density(m) + log_of_ranges(ranges) + agreement_under(m).log();
  }

  /// Frames whose highlights are hidden, once their rows have said how much they may hide.
  void let_rows_speak() {
    for (std::size_t m = 0; m < members_.size(); ++m) {
      const MemberFilm film(film_, members_[m]);
      const Agreement agreement = agreement_under(m);
      for (std::size_t f = 0; f < frames_.size(); ++f) {
        const auto deviation = deviation_of(f, m);
        if (!deviation || deviation->stops.size() == 1) continue;
        under_[f][m] = read_under(frames_[f], f, film, aim_, agreement.chances(*deviation));
      }
    }
  }

  std::vector<double> log_weights() const {
    std::vector<double> logs;
    for (std::size_t m = 0; m < members_.size(); ++m) {
      logs.push_back(log_likelihood(m) - members_[m].log_density);
    }
    return logs;
  }

  std::span<const FrameToRead> asked_;
  const film::FilmProfile& film_;
  ExposureAboveSpeedPoint aim_;
  std::vector<GroupedFrame> frames_;
  std::size_t at_end_;
  std::vector<std::vector<FrameUnderFilm>> under_;  ///< by frame, then member
  std::vector<Member> members_;
  std::vector<double> weights_;
};

constexpr std::array kShares = {0.025, 0.5, 0.975};

FrameAnswers answers_of(const std::vector<FrameUnderFilm>& under,
                        const std::vector<double>& weights) {
  FrameAnswers answers;
  std::vector<double> values(under.size());
  for (const Quantity q : every<Quantity>()) {
    std::ranges::transform(under, values.begin(),
                           [q](const FrameUnderFilm& one) { return one.value[q]; });
    const std::vector<double> found = weighted_quantiles(values, weights, kShares);
    answers.estimate[q] = {Stops(found[1]), Stops(found[0]), Stops(found[2])};
  }
  std::map<reading::Verdict, double> chance;
  for (std::size_t m = 0; m < under.size(); ++m) {
    chance[reading::verdict_of(Stops(under[m].value[Quantity::correction]))] += weights[m];
  }
  const auto likeliest =
      std::ranges::max_element(chance, {}, [](const auto& one) { return one.second; });
  answers.verdict = likeliest->first;
  answers.verdict_chance = likeliest->second;
  return answers;
}

}  // namespace

RollReading read_roll(std::span<const FrameToRead> frames, const film::FilmProfile& film,
                      const Aim& aim) {
  if (frames.empty()) return {};
  const RollUnderFilms roll(frames, film, aim);
  RollReading reading;
  reading.effective = effective_number(roll.weights());
  for (std::size_t f = 0; f < frames.size(); ++f) {
    reading.frames.push_back(answers_of(roll.frame(f), roll.weights()));
  }
  return reading;
}

}  // namespace basefog::ensemble

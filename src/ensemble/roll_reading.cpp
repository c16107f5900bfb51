// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/roll_reading.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

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

/// Every frame under every member.
class RollUnderFilms {
 public:
  RollUnderFilms(std::span<const FrameToRead> frames, const film::FilmProfile& film, const Aim& aim)
      : asked_(frames),
        film_(film),
        aim_(above_speed_point(aim.log_exposure(), film.speed_point())),
        frames_(grouped(frames, film)),
        under_(frames.size()),
        members_(draw_from_prior(kMembersADraw)) {
    read_members();
    draw_again(members_, log_weights(), latents_of(frames_.front().layers.size() > 1));
    read_members();
    weights_ = normalised(log_weights());
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

  double log_likelihood(std::size_t m) const {
    std::vector<Range> ranges;
    std::vector<Deviation> deviations;
    double too_dense = 0;
    for (std::size_t f = 0; f < frames_.size(); ++f) {
      const FrameUnderFilm& under = under_[f][m];
      ranges.push_back({under.likely_range, frames_[f].range_is_cut});
      too_dense = std::max(too_dense, under.too_dense);
      if (!asked_[f].asked) continue;
      deviations.push_back({under.likely_exposure - asked_[f].asked->value(), under.log_slope});
    }
    return log_of_density(too_dense) + log_of_ranges(ranges) + log_of_agreement(deviations);
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

// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/ensemble/roll_reading.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>

#include "basefog/core/film_facts.hpp"
#include "ensemble/error_budget.hpp"
#include "ensemble/evidence.hpp"
#include "ensemble/film_evidence.hpp"
#include "ensemble/frame_under_film.hpp"
#include "ensemble/kept_frame.hpp"
#include "ensemble/weights.hpp"
#include "reading/metering.hpp"
#include "reading/net_densities.hpp"
#include "reading/read_without_answers.hpp"

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
  /// asked: of each frame, what the log asked for.
  RollUnderFilms(std::vector<GroupedFrame> frames,
                 std::vector<std::optional<ExposureFromAim>> asked, const film::FilmProfile& film,
                 const Aim& aim)
      : asked_(std::move(asked)),
        film_(film),
        aim_(above_speed_point(aim.log_exposure(), film.speed_point())),
        frames_(std::move(frames)),
        at_end_(end_with_film(frames_, film.layers.size())),
        under_(frames_.size()),
        members_(draw_from_prior(kMembersADraw)) {
    read_members();
    const bool colour =
        std::ranges::any_of(frames_, [](const auto& frame) { return frame.layers.size() > 1; });
    draw_again(members_, log_weights(likelihoods()), latents_of(colour));
    read_members();
    const std::vector<double> log_likelihood = likelihoods();
    evidence_ = film_evidence(members_, log_likelihood, latents_of(colour), film_);
    weights_ = normalised(log_weights(log_likelihood));
    let_rows_speak();
  }

  const std::vector<double>& weights() const { return weights_; }
  /// What the roll says of its film.
  const film::FilmEvidence& evidence() const { return evidence_; }
  const std::vector<Member>& members() const { return members_; }
  const GroupedFrame& grouped_frame(std::size_t f) const { return frames_[f]; }
  /// A frame under every member.
  const std::vector<FrameUnderFilm>& frame(std::size_t f) const { return under_[f]; }
  /// One of its layers, alone.
  std::vector<FrameUnderFilm> layer(std::size_t f, std::size_t layer) const {
    const GroupedFrame one = alone(frames_[f], layer);
    std::vector<FrameUnderFilm> under;
    for (const MemberFilm& film : films_) under.push_back(read_under(one, f, film, aim_));
    return under;
  }
  /// How far a layer of the film lies up the axis under every member.
  Stops place(std::size_t member, std::size_t layer) const { return films_[member].place(layer); }

 private:
  void read_members() {
    const std::size_t first = under_.front().size();
    for (std::size_t m = first; m < members_.size(); ++m) {
      const MemberFilm& film = films_.emplace_back(film_, members_[m]);
      for (std::size_t f = 0; f < frames_.size(); ++f) {
        under_[f].push_back(read_under(frames_[f], f, film, aim_));
      }
    }
  }

  std::optional<Deviation> deviation_of(std::size_t f, std::size_t m) const {
    if (!asked_[f]) return {};
    const FrameUnderFilm& under = under_[f][m];
    Deviation deviation{under.exposures, under.chances, under.log_slope};
    for (double& stops : deviation.stops) stops -= asked_[f]->value();
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
      const Agreement agreement = agreement_under(m);
      for (std::size_t f = 0; f < frames_.size(); ++f) {
        const auto deviation = deviation_of(f, m);
        if (!deviation || deviation->stops.size() == 1) continue;
        under_[f][m] = read_under(frames_[f], f, films_[m], aim_, agreement.chances(*deviation));
      }
    }
  }

  std::vector<double> likelihoods() const {
    std::vector<double> logs;
    for (std::size_t m = 0; m < members_.size(); ++m) logs.push_back(log_likelihood(m));
    return logs;
  }

  std::vector<double> log_weights(std::vector<double> log_likelihood) const {
    for (std::size_t m = 0; m < members_.size(); ++m) {
      log_likelihood[m] -= members_[m].log_density;
    }
    return log_likelihood;
  }

  std::vector<std::optional<ExposureFromAim>> asked_;
  const film::FilmProfile& film_;
  ExposureAboveSpeedPoint aim_;
  std::vector<GroupedFrame> frames_;
  std::size_t at_end_;
  std::vector<std::vector<FrameUnderFilm>> under_;  ///< by frame, then member
  std::vector<Member> members_;
  std::vector<MemberFilm> films_;  ///< of the members
  std::vector<double> weights_;
  film::FilmEvidence evidence_;
};

/// What the members differ by on a frame, by cause. Metering and base are as the frame has them.
std::vector<Difference> differences_on(std::size_t f, const RollUnderFilms& roll) {
  using reading::ErrorCause;
  constexpr std::array kLatents = {
      std::pair{Latent::response, ErrorCause::response},
      std::pair{Latent::contrast, ErrorCause::contrast},
      std::pair{Latent::upper_gradient, ErrorCause::contrast},
      std::pair{Latent::red_gradient, ErrorCause::contrast},
      std::pair{Latent::blue_gradient, ErrorCause::contrast},
      std::pair{Latent::toe, ErrorCause::toe_and_shoulder},
      std::pair{Latent::shoulder, ErrorCause::toe_and_shoulder},
      std::pair{Latent::red_place, ErrorCause::toe_and_shoulder},
      std::pair{Latent::blue_place, ErrorCause::toe_and_shoulder},
      std::pair{Latent::speed, ErrorCause::film_speed},
  };
  std::vector<Difference> differences;
  const auto add = [&](ErrorCause cause, auto value_of) {
    Difference& one = differences.emplace_back(Difference{cause, {}});
    for (std::size_t m = 0; m < roll.members().size(); ++m) one.value.push_back(value_of(m));
  };
  add(ErrorCause::base, [&](std::size_t m) { return roll.frame(f)[m].base; });
  for (const auto& [latent, cause] : kLatents) {
    add(cause, [&](std::size_t m) { return roll.members()[m].z[latent]; });
  }
  add(ErrorCause::metering_pattern, [&](std::size_t m) { return roll.frame(f)[m].metering; });
  return made_independent(std::move(differences), roll.weights());
}

/// The median and the 95 % interval of one number a member.
StopsEstimate told(std::span<const double> values, std::span<const double> weights) {
  constexpr std::array kShares = {0.025, 0.5, 0.975};
  const std::vector<double> found = weighted_quantiles(values, weights, kShares);
  return {Stops(found[1]), Stops(found[0]), Stops(found[2])};
}

std::vector<double> values_of(const std::vector<FrameUnderFilm>& under, Quantity q) {
  std::vector<double> values;
  for (const FrameUnderFilm& one : under) values.push_back(one.value[q]);
  return values;
}

void add_verdict(reading::FrameReading& reading, const std::vector<FrameUnderFilm>& under,
                 const std::vector<double>& weights) {
  std::map<reading::Verdict, double> chance;
  for (std::size_t m = 0; m < under.size(); ++m) {
    chance[reading::verdict_of(Stops(under[m].value[Quantity::correction]))] += weights[m];
  }
  const auto likeliest =
      std::ranges::max_element(chance, {}, [](const auto& one) { return one.second; });
  reading.verdict = likeliest->first;
  reading.verdict_chance = likeliest->second;
  reading.verdict_uncertain = reading::verdict_is_uncertain(reading.correction.estimate);
}

/// One of a frame's answers with what each cause contributes.
template <class Point>
reading::Answer<Point> answer_of(Quantity q, std::size_t f, const RollUnderFilms& roll,
                                 const std::vector<Difference>& differences) {
  const std::vector<double> values = values_of(roll.frame(f), q);
  return {from_stops<Point>(told(values, roll.weights())),
          budget_of(values, roll.weights(), differences)};
}

void add_answers(reading::FrameReading& reading, std::size_t f, const RollUnderFilms& roll) {
  const std::vector<Difference> differences = differences_on(f, roll);
  const auto put = [&](auto& to, Quantity q) {
    using Point = std::remove_cvref_t<decltype(to.estimate.value)>;
    to = answer_of<Point>(q, f, roll, differences);
  };
  put(reading.exposure, Quantity::exposure);
  put(reading.shadow_reserve, Quantity::shadow_reserve);
  put(reading.highlight_reach, Quantity::highlight_reach);
  put(reading.highlight_room, Quantity::highlight_room);
  put(reading.correction, Quantity::correction);
  add_verdict(reading, roll.frame(f), roll.weights());
}

/// One layer less another one, each channel being seen partly by the other's dyes.
StopsEstimate layer_difference(std::span<const double> a, std::span<const double> b,
                               std::span<const double> weights) {
  std::vector<double> difference;
  for (std::size_t m = 0; m < a.size(); ++m) difference.push_back(a[m] - b[m]);
  StopsEstimate estimate = told(difference, weights);
  const double unmixed = kNormal975 * film_facts::kUnmixedSigma * std::abs(estimate.value.value());
  estimate.low =
      estimate.value - Stops(std::hypot((estimate.value - *estimate.low).value(), unmixed));
  estimate.high =
      estimate.value + Stops(std::hypot((*estimate.high - estimate.value).value(), unmixed));
  return estimate;
}

/// One layer's shadows are below its speed point while those of both others are above theirs, by
/// half of what lamp light takes from blue and more (judgement).
bool one_starved(const std::vector<reading::LayerReading>& layers) {
  constexpr Stops kStarved(1.0);
  std::vector<ExposureAboveSpeedPoint> reserve;
  for (const reading::LayerReading& layer : layers) reserve.push_back(layer.shadow_reserve.value);
  std::ranges::sort(reserve);
  constexpr ExposureAboveSpeedPoint kSpeedPoint(0);
  return reserve[0] < kSpeedPoint && reserve[1] >= kSpeedPoint &&
         reserve[1] - reserve[0] >= kStarved;
}

void add_layers(reading::FrameReading& reading, std::size_t f, const film::FilmProfile& film,
                const RollUnderFilms& roll) {
  enum Layer : std::size_t { kRed, kGreen, kBlue, kLayers };
  if (film.layers.size() != kLayers || roll.grouped_frame(f).layers.size() != kLayers) return;
  std::vector<std::vector<double>> exposure;
  for (std::size_t l = 0; l < kLayers; ++l) {
    const std::vector<FrameUnderFilm> under = roll.layer(f, l);
    // From the layer's own speed point, which lies where its curve lies.
    const film::FilmLayer& layer = film.layers[l];
    const Stops threshold = layer.curve.where(film_facts::kIso5800SpeedDensity).value_or(Stops(0));
    std::vector<double> reserve = values_of(under, Quantity::shadow_reserve);
    for (std::size_t m = 0; m < reserve.size(); ++m) {
      reserve[m] -= (threshold + roll.place(m, l)).value();
    }
    exposure.push_back(values_of(under, Quantity::exposure));
    reading.layers.push_back(
        {.name = layer.name,
         .exposure = from_stops<ExposureFromAim>(told(exposure.back(), roll.weights())),
         .shadow_reserve = from_stops<ExposureAboveSpeedPoint>(told(reserve, roll.weights())),
         .highlight_room = told(values_of(under, Quantity::highlight_room), roll.weights())});
  }
  reading.light_colour = {layer_difference(exposure[kRed], exposure[kGreen], roll.weights()),
                          layer_difference(exposure[kBlue], exposure[kGreen], roll.weights())};
  if (one_starved(reading.layers)) reading.flags.insert(Flag::layer_starved);
}

Estimate<double> contrast_of(const RollUnderFilms& roll, const film::FilmProfile& film) {
  std::vector<double> factors;
  for (const Member& member : roll.members()) {
    factors.push_back(1 + member.z[Latent::contrast] * film.contrast_relative_sigma);
  }
  const StopsEstimate found = told(factors, roll.weights());
  return {found.value.value(), found.low->value(), found.high->value()};
}

}  // namespace

RollReading read_roll(std::span<const FrameToRead> frames, const film::FilmProfile& film,
                      const Aim& aim) {
  RollReading reading;
  for (const FrameToRead& frame : frames) {
    reading.frames.push_back(
        reading::read_without_answers(*frame.measurement, *frame.base, film, aim, frame.options));
  }
  if (frames.empty()) return reading;
  std::vector<GroupedFrame> small = grouped(frames, film);
  std::vector<std::optional<ExposureFromAim>> asked;
  for (std::size_t f = 0; f < frames.size(); ++f) {
    reading.kept.push_back(keep(small[f]));
    asked.push_back(frames[f].asked);
  }
  const RollUnderFilms roll(std::move(small), std::move(asked), film, aim);
  for (std::size_t f = 0; f < frames.size(); ++f) {
    add_answers(reading.frames[f], f, roll);
    add_layers(reading.frames[f], f, film, roll);
  }
  reading.contrast = contrast_of(roll, film);
  reading.evidence = roll.evidence();
  reading.effective = effective_number(roll.weights());
  return reading;
}

std::optional<std::vector<KeptReading>> read_kept(std::span<const KeptFrame> frames,
                                                  const film::FilmProfile& film, const Aim& aim) {
  std::vector<GroupedFrame> small;
  std::vector<std::optional<ExposureFromAim>> asked;
  for (const KeptFrame& frame : frames) {
    std::optional<GroupedFrame> one = kept(frame.bytes);
    const auto on_film = [&](const GroupedLayer& l) { return l.layer < film.layers.size(); };
    if (!one || !std::ranges::all_of(one->layers, on_film)) return std::nullopt;
    small.push_back(std::move(*one));
    asked.push_back(frame.asked);
  }
  std::vector<KeptReading> readings;
  if (small.empty()) return readings;
  const RollUnderFilms roll(std::move(small), std::move(asked), film, aim);
  for (std::size_t f = 0; f < frames.size(); ++f) {
    const std::vector<Difference> differences = differences_on(f, roll);
    readings.push_back({answer_of<ExposureFromAim>(Quantity::exposure, f, roll, differences),
                        answer_of<Stops>(Quantity::correction, f, roll, differences)});
  }
  return readings;
}

}  // namespace basefog::ensemble

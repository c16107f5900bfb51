// SPDX-License-Identifier: GPL-3.0-or-later
// What a roll says for one member against another, as natural logs of likelihoods. Formulas and
// reasons are in roll_reading.hpp.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace basefog::ensemble {

/// Of the greatest net density on a roll less the most that the film can have. frames: as many as
/// come within kSameDensity of that greatest one.
double log_of_density(double over_end, std::size_t frames);

/// Greatest densities of frames that lie no farther apart are one: noise and flare (judgement).
inline constexpr double kSameDensity = 0.03;

/// A scene's range between its percentiles, stops; at_least: an end is lost in clear film or beyond
/// film or scan.
struct Range {
  double stops = 0;
  bool at_least = false;
};
/// Ranges below 0.3 stop, of an even wall, count as that.
double log_of_ranges(std::span<const Range> ranges);

/// A frame's exposure less what its row asked for.
struct Deviation {
  std::vector<double> stops;   ///< possible ones: one where nothing is hidden
  std::vector<double> chance;  ///< of each before the row speaks; sum 1
  double log_slope = 0;        ///< ln of the stops by which the exposure rises with a density of 1
};

/// A bias and a scatter under which the exposures of some frames follow what their rows asked for.
/// Fewer than 3 frames say nothing.
class Agreement {
 public:
  explicit Agreement(std::span<const Deviation> deviations);

  double log() const { return log_; }
  /// The chances of a frame's possible deviations once its row and all others have spoken.
  std::vector<double> chances(const Deviation& deviation) const;

 private:
  struct Camera {
    double bias = 0;     ///< stops
    double scatter = 0;  ///< stops
    double weight = 0;   ///< of all that are possible, sum 1
  };
  std::vector<Camera> cameras_;
  double log_ = 0;
};

}  // namespace basefog::ensemble

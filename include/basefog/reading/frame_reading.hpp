// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/enum_array.hpp"
#include "basefog/core/exposure_point.hpp"
#include "basefog/core/metering_pattern.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/density/density.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::reading {

/// Causes of error that an answer's interval is made of.
enum class ErrorCause {
  base,              ///< base + fog, the zero of densities
  response,          ///< the scan's codes as light
  contrast,          ///< the film's average gradient
  toe_and_shoulder,  ///< the form of the film's curve
  film_speed,        ///< the film's speed in its development
  metering_pattern,  ///< how the meter weighed the frame
  clipping,          ///< what scan or film hides, and all that is the frame's own
};
constexpr ErrorCause last_of(ErrorCause) { return ErrorCause::clipping; }
std::string_view name_of(ErrorCause cause);  ///< as in JSON and the ledger

/// Signed change of an answer, in stops, for one standard deviation of each cause, causes made
/// independent in their order; clipping is what they leave. Base (when the roll's), response,
/// contrast, toe_and_shoulder and film_speed are shared by the frames of a roll: equal latent
/// errors, different sensitivities.
using ErrorBudget = EnumArray<ErrorCause, double>;

/// One number of a frame, a point with its zero or a difference.
template <class Point>
struct Answer {
  Estimate<Point> estimate;  ///< with its 95 % interval
  ErrorBudget budget{};      ///< what the interval is made of
};
/// As stops from its zero, for writers.
template <class Point>
Answer<Stops> in_stops(const Answer<Point>& answer) {
  return {in_stops(answer.estimate), answer.budget};
}

/// A correction of less counts as well exposed, stops (judgement: what a print hides).
inline constexpr double kWellExposed = 0.5;

/// What a frame's exposure did to its picture; by the correction that it needed.
enum class Verdict {
  strongly_under,  ///< needed 1.5 stops more, or above
  under,           ///< needed 0.5 stop more, or above
  well_exposed,    ///< needed less than 0.5 stop either way
  over,            ///< needed 0.5 stop less, or beyond
  strongly_over,   ///< needed 1.5 stops less, or beyond
};
std::string_view name_of(Verdict verdict);  ///< as in JSON
/// The verdict on a correction, by the limits that stand at Verdict's values.
Verdict verdict_of(Stops correction);
/// True where more than half of a correction's interval lies in other verdicts than its value's;
/// false where the interval has but one end.
bool verdict_is_uncertain(const StopsEstimate& correction);

/// Shares of the frame by exposure, in bins of equal width.
struct StopsHistogram {
  ExposureFromAim first;            ///< lower edge of the first bin
  Stops width{0.25};                ///< of a bin
  std::vector<float> share;         ///< sums to 1
  ExposureFromAim speed_point;      ///< below it shadows are lost
  ExposureFromAim highlight_limit;  ///< above it highlights are lost
};

/// What one layer of a colour film says, read as if it were alone.
struct LayerReading {
  std::string name;                    ///< as the film's: "red", "green", "blue"
  Estimate<ExposureFromAim> exposure;  ///< metered mean of the layer's H
  Estimate<ExposureAboveSpeedPoint>
      shadow_reserve;            ///< 2nd percentile above the layer's own speed point [ISO5800]
  StopsEstimate highlight_room;  ///< the layer's own usable limit minus its 98th percentile
};

/// Colour of the light that made the picture, in stops between layers' metered means; zero for a
/// gray subject in the light that the film is balanced for. Lamp and subject count together.
/// Scanner channels are not unmixed: each also sees some of the other layers' dyes, so differences
/// are read too small by up to a third, which the interval holds.
struct LightColour {
  StopsEstimate red;   ///< red layer less green
  StopsEstimate blue;  ///< blue layer less green
};

/// The four answers of one frame.
struct FrameReading {
  Answer<ExposureFromAim> exposure;                 ///< metered mean of H
  Answer<ExposureAboveSpeedPoint> shadow_reserve;   ///< 2nd percentile of log H
  Answer<ExposureAboveSpeedPoint> highlight_reach;  ///< 98th percentile of log H
  Answer<Stops> highlight_room;                     ///< usable limit minus the 98th percentile
  Answer<Stops> correction;                 ///< change that would have kept most of the picture
  Verdict verdict = Verdict::well_exposed;  ///< the likeliest
  double verdict_chance = 1;                ///< that the verdict is right
  bool verdict_uncertain = false;           ///< as verdict_is_uncertain says of the correction
  double lost_in_shadows = 0;               ///< share of the frame below the speed point
  double lost_in_highlights = 0;            ///< share of the frame above the usable limit
  /// Share of the metered mean that comes from above the usable limit.
  double mean_from_highlights = 0;
  StopsHistogram histogram;                 ///< of all apertures, unweighted
  std::vector<LayerReading> layers;         ///< colour film scanned in colour, else empty
  std::optional<LightColour> light_colour;  ///< likewise
  FlagSet flags;                            ///< found while reading, beside those of the scan
};

/// How the camera's meter weighs a frame, and how sure the response is.
struct ReadingOptions {
  /// Where it is unknown, all patterns that are possible count, each with its weight.
  MeteringPattern pattern = MeteringPattern::unknown;
  /// Spot position as fractions of the frame, for MeteringPattern::spot.
  double spot_x = 0.5;
  double spot_y = 0.5;  ///< from the upper edge
  /// For MeteringPattern::unknown: the camera has a spot meter, which may have been used.
  bool spot_possible = false;
  /// Relative sigma of the response, where the roll shows more of it than the file alone.
  std::optional<double> response_sigma;
};

}  // namespace basefog::reading

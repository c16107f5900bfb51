// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/density/density.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/reading/frame_reading.hpp"

namespace basefog::ensemble {

// A roll read through many films.
//
// A member is one complete story of what its frames share: contrast, toe, shoulder, upper gradient
// and speed of the film, the scan's response, base + fog, the layers of colour film, the metering
// pattern. With z_m the member's latents, standard normal by the prior, y_fm an answer of frame f
// read through its film, and L the evidence, each frame's answer is the mixture of the y_fm by
//
//   w_m ~ L(z_m) p(z_m) / q(z_m)
//
// told as weighted median, 2.5 and 97.5 % quantiles. Members are drawn twice: 128 from the prior p,
// 128 around where the weights lie, and all are weighed against the mixture q of both draws
// [HammersleyHandscomb].
//
// Evidence, all over the roll:
//
//   greatest density   a film cannot be denser than its end: exp(-e^2 / 2 s^2), e the density above
//                      it, s = 0.4; where several frames end at one density (within 0.03), it is
//                      the film's end, s = 0.5 below it, and all that reaches it is a bound
//   ranges             scenes span 5.2 stops between the percentiles, as a Weibull distribution of
//                      shape 3 in ln(range), the roll's own mean off by 15 %; a range that is cut
//                      counts as the chance of a longer one
//   agreement          exposure less what the log asked for is a bias and a scatter: Student t of 4
//                      degrees, scatter 0.12 to 0.9 stop, bias itself a t of 3 with scale 0.6, all
//                      summed over; times, for each frame, the stops that its exposure moves by
//                      with its density. Without that factor hard films are favoured, under which
//                      all exposures, and so their scatter, shrink: exposures came out 0.3 stop
//                      low.
//
// What was measured are densities; the factor is the change of variables from them to exposures.
// Ranges are in logs, where it is the same for all films. Where light is hidden, what a frame's row
// asked for is held against every amount that may be, and then says which of them are likely.
// Ranges and agreement count as a quarter as many frames as there are, since frames share more than
// a member holds (the form of the curve).
//
// Assumes. The film is of the profile's family; its latents are independent and normal by the
// profile's sigmas. Hidden light as in frame_under_film.hpp.
//
// What a cause contributes to an answer is its covariance with the cause's latents under the
// weights, each latent freed of those before it; what no latent explains is the frame's own.
//
// Costs. Members x frames x 240 look-ups a layer, and one best correction each: 36 frames in 0.5 s.
//
// Accurate. On rolls from published sheets that it shares no curve with: STUDIES.md; against a
// closed form and a grid: Ensemble tests.
//
// Fails. A film unlike all members (a wrong kind, a wrong response) gets the nearest one, and is
// sure; `effective` says how few members carried the answer.

/// One frame of a roll, to be read.
struct FrameToRead {
  const density::FrameMeasurement* measurement = nullptr;  ///< not owned; holds apertures
  const density::FilmBase* base = nullptr;                 ///< not owned; kind other than none
  reading::ReadingOptions options;                         ///< how its meter weighed it
  std::optional<ExposureFromAim> asked;                    ///< what the log asked for
};

/// What a roll's frames say, read together.
struct RollReading {
  std::vector<reading::FrameReading> frames;  ///< both ends of every answer are always there
  /// Of the roll's film against the one given: 1 as that.
  Estimate<double> contrast;
  /// What the frames say of the film, counted from the one given: all but what the profile says.
  film::FilmEvidence evidence;
  /// Each frame in some kilobytes, for read_kept.
  std::vector<std::string> kept;
  double effective = 0;  ///< number of members of equal weight that would be as good
};

/// Reads the frames of a roll together; none gives no readings. Throws std::invalid_argument for a
/// frame without apertures or base.
RollReading read_roll(std::span<const FrameToRead> frames, const film::FilmProfile& film,
                      const Aim& aim);

/// A frame that read_roll kept.
struct KeptFrame {
  std::string bytes;                     ///< RollReading::kept of it
  std::optional<ExposureFromAim> asked;  ///< what the log asked for; absent: nothing known
};

/// Of it, what meter and technique are learned from.
struct KeptReading {
  reading::Answer<ExposureFromAim> exposure;  ///< against the aim
  reading::Answer<Stops> correction;          ///< to add
};

/// Reads kept frames of a roll again, through a film that is better known now; to 0.005 stop as
/// read_roll would. Nothing where bytes are not what read_roll kept, of frames on this kind of
/// film.
std::optional<std::vector<KeptReading>> read_kept(std::span<const KeptFrame> frames,
                                                  const film::FilmProfile& film, const Aim& aim);

}  // namespace basefog::ensemble

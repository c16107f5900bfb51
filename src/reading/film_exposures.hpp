// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "reading/net_densities.hpp"

namespace basefog::reading {

/// Errors of what is taken as known, in standard deviations of each. All zero: as measured.
/// All but the last two are shared by the frames of a roll.
struct AssumedErrors {
  double base = 0;            ///< base + fog denser than measured
  double response = 0;        ///< true density differences larger than read
  double contrast = 0;        ///< the film harder than assumed
  double toe = 0;             ///< the film's toe longer
  double upper_gradient = 0;  ///< softer above ISO 6's triangle
  double shoulder = 0;        ///< its shoulder farther up
  double highlights = 0;      ///< beyond the film's or the scan's range: more light than thought
  double clear_film = 0;      ///< on clear film: more light than thought
};

/// The inverse of one layer's characteristic curve under given errors, tabulated over density:
/// within 0.005 stop of the curve's own inverse between lowest() and highest()
/// (InverseCurve.agrees_with_the_curve).
class InverseCurve {
 public:
  InverseCurve(const film::CharacteristicCurve& nominal, const film::FilmProfile& film,
               const AssumedErrors& errors);
  /// Stops above the speed point; densities outside the table are clamped.
  double above_speed(double net_density) const { return look_up(above_speed_, net_density); }
  /// The same as exposure relative to the speed point's.
  double exposure(double net_density) const { return look_up(exposure_, net_density); }

  double top_density() const { return top_density_; }  ///< the most that the film can have
  /// Density of the curve's lowest(): what is thinner is clear film. The table goes on below it, to
  /// where density is lost in base, so that intervals have ends; exposures there are ends of
  /// intervals, not readings.
  double clear_film_density() const { return clear_film_density_; }
  double highest_density() const { return highest_density_; }
  double clear_film_exposure() const { return clear_film_exposure_; }
  double lowest() const { return above_speed_.front(); }
  double highest() const { return above_speed_.back(); }
  double highlight_limit() const { return highlight_limit_; }

 private:
  double look_up(const std::vector<double>& table, double net_density) const;

  double clear_film_density_ = 0;
  double clear_film_exposure_ = 0;
  double lowest_density_ = 0;
  double highest_density_ = 0;
  double top_density_ = 0;
  double highlight_limit_ = 0;
  double per_density_ = 0;           ///< table entries a density of 1
  std::vector<double> above_speed_;  ///< evenly spaced in density
  std::vector<double> exposure_;     ///< exp2 of them
};

/// The exposure of each aperture, row by row. Every place on the axis is in stops above the speed
/// point.
struct FilmExposures {
  std::vector<double> above_speed;  ///< log2 of the exposure as read
  std::vector<double> exposure;     ///< relative to the speed point's, free of the bias that noise
                                    ///< has through a bent curve; for means
  std::vector<double> sigma;        ///< of each by noise, stops
  std::vector<std::uint8_t> least;  ///< 1 where the exposure is only known to be at least that
  std::vector<std::uint8_t> most;   ///< 1 where it is only known to be at most that
  /// Of exp2(above_speed), what comes from beyond the range of film or scan, at its bound; and
  /// the share of the frame's area that it comes from.
  std::vector<double> beyond;
  double beyond_area = 0;
  bool too_dense = false;      ///< the frame has densities above the curve's greatest
  double highlight_limit = 0;  ///< usable limit, of film or scan
  double lowest = 0;           ///< where the read exposures end, in clear film
  double highest = 0;          ///< most exposure that can be read
  bool limit_seen = true;  ///< false where neither shoulder nor scan ends what the film may hold
};

FilmExposures film_exposures(const NetDensities& densities, const film::FilmProfile& film,
                             const AssumedErrors& errors = {});

}  // namespace basefog::reading

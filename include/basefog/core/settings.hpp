// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <compare>
#include <string>

#include "basefog/core/units.hpp"

namespace basefog {

/// Exposure time, > 0 seconds. Nominal marks (1/60) and exact times are both held as seconds.
class ShutterTime {
 public:
  constexpr explicit ShutterTime(double seconds) : seconds_(seconds) {}  ///< not checked
  constexpr double seconds() const { return seconds_; }                  ///< as given
  /// APEX Tv = -log2(t / 1 s) [Exif, Annex C].
  double time_value() const { return -std::log2(seconds_); }
  friend constexpr auto operator<=>(ShutterTime, ShutterTime) = default;

 private:
  double seconds_;
};

/// f-number N > 0.
class FNumber {
 public:
  constexpr explicit FNumber(double n) : n_(n) {}  ///< not checked
  constexpr double value() const { return n_; }    ///< N as given
  /// APEX Av = 2 log2 N [Exif, Annex C].
  double aperture_value() const { return 2 * std::log2(n_); }
  friend constexpr auto operator<=>(FNumber, FNumber) = default;

 private:
  double n_;
};

/// ISO arithmetic speed S > 0 of a film, or the exposure index dialled on a meter.
class FilmSpeed {
 public:
  constexpr explicit FilmSpeed(double iso) : iso_(iso) {}  ///< not checked
  constexpr double iso() const { return iso_; }            ///< S as given
  /// APEX Sv = log2(S / 3.125), so that ISO 100 is 5 [Exif, Annex C].
  double speed_value() const { return std::log2(iso_ / 3.125); }
  /// Logarithmic speed in degrees, 10 log10 S + 1, unrounded [ISO6].
  double degrees() const { return 10 * std::log10(iso_) + 1; }
  /// The arithmetic speed of one in degrees, unrounded: of 21 it is 100 [ISO6].
  static FilmSpeed from_degrees(double degrees) {
    return FilmSpeed(std::pow(10.0, (degrees - 1) / 10));
  }
  friend constexpr auto operator<=>(FilmSpeed, FilmSpeed) = default;

 private:
  double iso_;
};

/// The exact time that a mark stands for: the nearest member of the third-stop series 2^(k/3) s
/// when the mark is within 0.15 stop of one (1/60 -> 1/64, 1/125 -> 1/128), otherwise unchanged.
ShutterTime exact(ShutterTime marked);

/// The exact f-number that a mark stands for: the nearest member of the series 2^(k/6) (thirds) or
/// 2^(k/4) (halves) within 0.15 stop (f/5.6 -> 5.657), otherwise unchanged.
FNumber exact(FNumber marked);

/// The exact speed that a mark stands for: the nearest member of the series 100 * 2^(k/3) within
/// 0.15 stop (125 -> 125.99), otherwise unchanged.
FilmSpeed exact(FilmSpeed marked);

/// The speed as dials are marked, nearest to any speed: thirds from 3 to 25600, nominal (64, 125,
/// 800); beyond, the exact third.
FilmSpeed nearest_marked(FilmSpeed speed);

/// How much more exposure the film gets at (t, n) than at (reference_t, reference_n), from exact
/// marks.
Stops exposure_change(ShutterTime t, FNumber n, ShutterTime reference_t, FNumber reference_n);

/// Exposure value at ISO 100 for which a meter set to `speed` asks for (t, n):
/// log2(n²/t) - log2(S/100), from exact marks [PH2.7].
double exposure_value_100(ShutterTime t, FNumber n, FilmSpeed speed);

/// Marks as a camera engraves them: "1/60", "2 s", "f/5.6", "400".
std::string as_marked(ShutterTime t);
std::string as_marked(FNumber n);    ///< likewise
std::string as_marked(FilmSpeed s);  ///< likewise

/// The exposure that a metered mid-tone gets on film of a speed: H = q K / S lux·s.
struct Aim {
  /// Lens factor q = (pi/4) T f_v cos^4(10 deg), 0.65157 rounded [ISO12232]. Default 0.65.
  double q = 0.65;
  /// Reflected-light calibration constant K in cd/m². Default 12.5; ISO 2720 allows 10.6 to 13.4.
  double k = 12.5;
  FilmSpeed film_speed{100};  ///< S of the film, not the index dialled

  double lux_seconds() const { return q * k / film_speed.iso(); }  ///< H, lux·s
  /// The same as a point on the film's axis.
  LogExposure log_exposure() const { return LogExposure::from_lux_seconds(lux_seconds()); }
  /// Standard deviation of the aim itself: K anywhere in ISO 2720's 10.6 to 13.4 (uniform,
  /// log2(13.4/10.6)/sqrt(12)). Shared by all frames of a camera; never part of a frame's own
  /// interval.
  static constexpr Stops kSigma{0.098};
};

}  // namespace basefog

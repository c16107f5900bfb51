// SPDX-License-Identifier: GPL-3.0-or-later
// Compiled once for each CASE, which must fail, and once for CASE 0, which must pass.
#include "basefog/core/exposure_point.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/core/units.hpp"

using namespace basefog;

int main() {
  const LogExposure h = LogExposure::from_lux_seconds(0.02);
  const Density d = Density::from_value(0.9);
  const Density base = Density::from_value(0.3);
  const NetDensity net = NetDensity::above(d, base);
  const ExposureAboveSpeedPoint shadows(-0.5);
  const ExposureAboveSpeedPoint aim(3.34);
  const ExposureFromAim got = from_aim(shadows, aim);
#if CASE == 0
  const Stops above_aim = h - Aim{.film_speed = FilmSpeed(400)}.log_exposure();
  const Stops apart = got - ExposureFromAim(1);
  const Estimate<ExposureFromAim> read{got, got - Stops(1), {}};
  return above_aim > Stops(1) && net > NetDensity(0.5) &&
         d - base == DensityDifference(d.value() - 0.3) && net + (d - base) > net &&
         apart < Stops(0) && *read.low < got;
#elif CASE == 1
  (void)(h + h);  // two points on the exposure axis do not add
#elif CASE == 2
  (void)(d + d);  // neither do two densities
#elif CASE == 3
  Stops s = 0.5;  // a bare number has no unit
#elif CASE == 4
  Stops s = h;  // a point is no difference
#elif CASE == 5
  NetDensity n = d;  // density is not net density
#elif CASE == 6
  (void)(d - Stops(1));  // densities do not change by stops without a curve
#elif CASE == 7
  (void)exposure_change(FNumber(4), ShutterTime(1), ShutterTime(1), FNumber(4));  // swapped
#elif CASE == 8
  ShutterTime t = 1 / 60.0;  // a bare number is no time
#elif CASE == 9
  (void)(Stops(1) < NetDensity(0.3));  // different axes do not compare
#elif CASE == 10
  (void)(got - shadows);  // from the aim and from the speed point: the offset is not spelled
#elif CASE == 11
  (void)(got < shadows);  // nor do they compare
#elif CASE == 12
  ExposureFromAim e = shadows;  // nor is one the other
#elif CASE == 13
  (void)(got + got);  // two points do not add
#elif CASE == 14
  Stops s = got;  // a point is no difference
#elif CASE == 15
  (void)from_aim(got, aim);  // counted from the aim already
#elif CASE == 16
  Estimate<ExposureFromAim> read = Estimate<ExposureAboveSpeedPoint>{};  // intervals do not mix
#elif CASE == 17
  NetDensity n = d - base;  // a difference has no zero, base + fog or other
#elif CASE == 18
  (void)(net + net);  // two densities above base do not add
#elif CASE == 19
  (void)(net < d);  // above base + fog and against full scale do not compare
#elif CASE == 20
  (void)(d - net);  // nor subtract: base + fog is not spelled
#else
#error "no such case"
#endif
}

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/core/units.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::density {

/// Where a density zero was taken from, best first.
enum class ReferenceKind {
  rebate,     ///< clear film in the same scan
  base_scan,  ///< a scan of clear film alone, under the same exposure
  roll,       ///< clear film in other scans of the roll, under the same exposure
  given,      ///< stated by a person
  none,       ///< there is none
};
constexpr ReferenceKind last_of(ReferenceKind) { return ReferenceKind::none; }
std::string_view name_of(ReferenceKind kind);  ///< as in JSON

/// Base + fog as seen by one scan: density of clear film against the scan's own full scale, one
/// value a channel, with its standard deviation.
struct FilmBase {
  ReferenceKind kind = ReferenceKind::none;  ///< where it was taken from
  std::vector<Density> density;              ///< one a channel; negative only by noise
  std::vector<DensityDifference> sigma;      ///< standard deviation of each
  FlagSet flags;                             ///< clipped_base, ...

  /// True where it gives the density zero of a scan of so many channels.
  bool has_zero(int channels) const {
    return kind != ReferenceKind::none && density.size() == static_cast<std::size_t>(channels);
  }
};

/// Base + fog from the clear film in view, by a robust mode over the blocks that may be rebate;
/// kind is none where there is no clear film, or what there is cannot be separated from picture.
FilmBase measure_rebate(const scan::Scan& scan, const area::FilmLayout& layout);

/// A density zero that a person states, one number a channel: up to 1 light against full scale,
/// above 1 the file's codes, out of 255 for 8 bits and 65535 for more.
struct GivenBase {
  std::vector<double> values;  ///< one, or red, green, blue
};

/// Reads one or three positive numbers separated by commas, all up to 1 or all above. Throws
/// InputError (usage).
GivenBase parse_base(std::string_view text);

/// The stated zero under a scan's response, kind given; kind none where it has another number of
/// channels than the scan, or a code beyond its full scale.
FilmBase base_given(const GivenBase& given, const response::Response& response, int bits_per_sample,
                    int channels);

/// Whether clear film can be this dense against bare light (densities above it, one or three):
/// film_facts::kGrayBaseRange, or with the orange mask kMaskedBaseRange.
bool plausible_base(const std::vector<DensityDifference>& above_bare);

}  // namespace basefog::density

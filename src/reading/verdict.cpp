// SPDX-License-Identifier: GPL-3.0-or-later
// Verdicts and causes as JSON, CSV and reports spell them.
#include <array>

#include "basefog/reading/frame_reading.hpp"
#include "core/name_list.hpp"

namespace basefog::reading {

std::string_view name_of(ErrorCause cause) {
  return name_in(
      std::to_array<std::string_view>({"base", "response", "contrast", "toe_and_shoulder",
                                       "film_speed", "metering_pattern", "clipping"}),
      cause);
}

std::string_view name_of(Verdict verdict) {
  return name_in(std::to_array<std::string_view>(
                     {"strongly_under", "under", "well_exposed", "over", "strongly_over"}),
                 verdict);
}

}  // namespace basefog::reading

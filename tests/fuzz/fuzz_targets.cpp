// SPDX-License-Identifier: GPL-3.0-or-later
#include "fuzz/fuzz_targets.hpp"

#include <array>
#include <cstdlib>

namespace basefog::test {

std::span<const FuzzTarget> fuzz_targets() {
  static constexpr std::array targets{
      FuzzTarget{"shot_log", fuzz_shot_log},
      FuzzTarget{"camera", fuzz_camera},
      FuzzTarget{"film_profile", fuzz_film_profile},
      FuzzTarget{"response", fuzz_response},
      FuzzTarget{"step_densities", fuzz_step_densities},
      FuzzTarget{"patch_codes", fuzz_patch_codes},
      FuzzTarget{"densitometer_table", fuzz_densitometer_table},
      FuzzTarget{"match_file", fuzz_match_file},
      FuzzTarget{"scan", fuzz_scan},
      FuzzTarget{"film", fuzz_film},
      FuzzTarget{"scan_record", fuzz_scan_record},
      FuzzTarget{"ledger", fuzz_ledger},
  };
  return targets;
}

void require(bool condition) {
  if (!condition) std::abort();
}

}  // namespace basefog::test

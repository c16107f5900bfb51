// SPDX-License-Identifier: GPL-3.0-or-later
#include "fuzz/fuzz_targets.hpp"

#include <array>
#include <cstdlib>

namespace basefog::test {

std::span<const FuzzTarget> fuzz_targets() {
  static constexpr std::array targets{
      FuzzTarget{"shot_log", fuzz_shot_log, "shot_log"},
      FuzzTarget{"camera", fuzz_camera, "camera"},
      FuzzTarget{"film_profile", fuzz_film_profile, "film_profile"},
      FuzzTarget{"response", fuzz_response, "response"},
      FuzzTarget{"step_densities", fuzz_step_densities, "step_densities"},
      FuzzTarget{"patch_codes", fuzz_patch_codes, "patch_codes"},
      FuzzTarget{"densitometer_table", fuzz_densitometer_table, "densitometer_table"},
      FuzzTarget{"match_file", fuzz_match_file, "match_file"},
      FuzzTarget{"scan", fuzz_scan, "scan"},
      FuzzTarget{"film", fuzz_film, "film"},
      FuzzTarget{"small_film", fuzz_small_film, "film"},
      FuzzTarget{"program", fuzz_program, "scan"},
      FuzzTarget{"scan_record", fuzz_scan_record, "scan_record"},
      FuzzTarget{"ledger", fuzz_ledger, "ledger"},
  };
  return targets;
}

void require(bool condition) {
  if (!condition) std::abort();
}

}  // namespace basefog::test

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string_view>

namespace basefog::test {

/// What reads bytes that may be anything: it ends with an answer that makes sense, or with an
/// InputError, or the test is broken.
struct FuzzTarget {
  const char* name;  ///< also of its folder in hard/
  void (*read)(std::string_view bytes);
  const char* seeds;  ///< its folder in seeds/
};

std::span<const FuzzTarget> fuzz_targets();

/// Ends the program where an answer makes no sense, so that the fuzzer keeps the input.
void require(bool condition);

void fuzz_shot_log(std::string_view bytes);
void fuzz_camera(std::string_view bytes);
void fuzz_film_profile(std::string_view bytes);
void fuzz_response(std::string_view bytes);
void fuzz_step_densities(std::string_view bytes);
void fuzz_patch_codes(std::string_view bytes);
void fuzz_densitometer_table(std::string_view bytes);
void fuzz_match_file(std::string_view bytes);
void fuzz_scan(std::string_view bytes);
void fuzz_film(std::string_view bytes);
void fuzz_small_film(std::string_view bytes);
void fuzz_program(std::string_view bytes);
void fuzz_scan_record(std::string_view bytes);
void fuzz_ledger(std::string_view bytes);

}  // namespace basefog::test

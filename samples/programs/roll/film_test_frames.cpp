// SPDX-License-Identifier: GPL-3.0-or-later
// A film test wants frames of one evenly lit subject: pictures are left out, with a reason.
#include "basefog/roll/film_test_frames.hpp"

#include <cstdio>

#include "basefog/core/error.hpp"

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::filesystem::path roll = argv[1];
  roll::ReviewOptions options;
  options.log = roll / "log.csv";
  const roll::Analysis analysis = roll::review(
      {roll / "roll03_03.tif", roll / "roll03_04.tif", roll / "roll03_05.tif"}, options);
  try {
    roll::film_test_from_frames(analysis);
  } catch (const InputError& error) {
    std::printf("%s\n", error.what());
    return error.code() == ErrorCode::malformed ? 0 : 1;
  }
  return 1;
}

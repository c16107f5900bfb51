// SPDX-License-Identifier: GPL-3.0-or-later
// The one exception: which file, what is wrong with it, what to do.
#include "basefog/core/error.hpp"

#include <cstdio>

#include "basefog/scan/scan.hpp"

using namespace basefog;

int main() {
  try {
    scan::read_scan("no-such-scan.tif");
  } catch (const InputError& error) {
    std::printf("%s\n", error.what());
    return error.code() == ErrorCode::not_found ? 0 : 1;
  }
  return 1;
}

// SPDX-License-Identifier: GPL-3.0-or-later
#include <basefog/core/error.hpp>
#include <basefog/core/version.hpp>
#include <basefog/roll/analysis.hpp>
#include <cstdio>

int main() {
  try {
    (void)basefog::roll::review({}, {});
  } catch (const basefog::InputError& error) {
    std::printf("basefog %s: %s\n", basefog::kVersion, error.what());
    return error.code() == basefog::ErrorCode::no_scans ? 0 : 1;
  }
  return 1;
}

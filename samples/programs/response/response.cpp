// SPDX-License-Identifier: GPL-3.0-or-later
// Codes to light under a stated response.
#include "basefog/response/response.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const response::Response srgb = response::parse_response("srgb");
  for (const double code : {0.1, 0.5, 1.0}) {
    std::printf("code %.1f is light %.4f\n", code, srgb.light(code, 0));
  }
  return srgb.light(0.5, 0) < 0.22 && srgb.light(1, 0) == 1 ? 0 : 1;
}

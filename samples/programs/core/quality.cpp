// SPDX-License-Identifier: GPL-3.0-or-later
// Prints the registry of quality flags.
#include "basefog/core/quality.hpp"

#include <cstdio>

int main() {
  for (const basefog::FlagText& text : basefog::all_flags()) {
    std::printf("%-24.*s %.*s\n", static_cast<int>(text.name.size()), text.name.data(),
                static_cast<int>(text.next_step.size()), text.next_step.data());
  }
  return basefog::all_flags().empty() ? 1 : 0;
}

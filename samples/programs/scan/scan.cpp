// SPDX-License-Identifier: GPL-3.0-or-later
// Reads one scan in one pass and says what is known of it.
#include "basefog/scan/scan.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  std::printf("%s, %d x %d pixels, %d bits, response: %s\n", scan.format.c_str(), scan.width,
              scan.height, scan.bits_per_sample, name_of(scan.response.source).c_str());
  return scan.blocks.mean.empty() ? 1 : 0;
}

// SPDX-License-Identifier: GPL-3.0-or-later
// XMP for catalogue programs, as text.
#include "basefog/report/sidecar.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::filesystem::path roll = argv[1];
  roll::ReviewOptions options;
  options.log = roll / "log.csv";
  const auto all = report::sidecars(roll::review({roll / "roll03_03.tif"}, options));
  if (all.size() != 1) return 1;
  std::printf("%s\n%s\n", all.front().file_name.c_str(), all.front().xmp.c_str());
  return all.front().xmp.find("xmpmeta") != std::string::npos ? 0 : 1;
}

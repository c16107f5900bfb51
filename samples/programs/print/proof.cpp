// SPDX-License-Identifier: GPL-3.0-or-later
// Positives for looking at.
#include "basefog/print/proof.hpp"

#include <cstdio>
#include <cstdlib>
#include <string>

using namespace basefog;
namespace fs = std::filesystem;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const roll::Analysis analysis = roll::review({fs::path(argv[1]) / "roll03_03.tif"}, {});
  std::string folder = (fs::temp_directory_path() / "basefog-sample-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;
  const auto files = print::write_proofs(folder, analysis, {.style = print::ProofStyle::straight});
  for (const fs::path& file : files) std::printf("%s\n", file.filename().string().c_str());
  const bool written = files.size() == 1 && fs::file_size(files.front()) > 1000;
  fs::remove_all(folder);
  return written ? 0 : 1;
}

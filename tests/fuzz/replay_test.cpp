// SPDX-License-Identifier: GPL-3.0-or-later
// Inputs that once broke a reader, and the seeds that the fuzzer starts from, stay harmless.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {
namespace {

namespace fs = std::filesystem;

class Replay : public testing::TestWithParam<FuzzTarget> {};

int replay(const FuzzTarget& target, const fs::path& folder) {
  int files = 0;
  for (const auto& entry : fs::directory_iterator(folder)) {
    SCOPED_TRACE(entry.path());
    std::ifstream in(entry.path(), std::ios::binary);
    target.read(std::string{std::istreambuf_iterator<char>(in), {}});
    ++files;
  }
  return files;
}

TEST_P(Replay, kept_inputs_are_read_or_refused) {
  const fs::path inputs = BASEFOG_FUZZ_INPUTS;
  EXPECT_GE(replay(GetParam(), inputs / "seeds" / GetParam().name), 1);
  const fs::path hard = inputs / "hard" / GetParam().name;
  if (fs::exists(hard)) replay(GetParam(), hard);
}

INSTANTIATE_TEST_SUITE_P(Readers, Replay, testing::ValuesIn(fuzz_targets()),
                         [](const auto& target) { return std::string(target.param.name); });

}  // namespace
}  // namespace basefog::test

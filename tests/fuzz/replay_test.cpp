// SPDX-License-Identifier: GPL-3.0-or-later
// Inputs that once broke a reader, and the seeds that the fuzzer starts from, stay harmless.
#include <gtest/gtest.h>

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

int replay(const std::filesystem::path& folder) {
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    SCOPED_TRACE(entry.path());
    std::ifstream in(entry.path(), std::ios::binary);
    const std::vector<char> bytes{std::istreambuf_iterator<char>(in), {}};
    EXPECT_EQ(
        LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()),
        0);
    ++files;
  }
  return files;
}

TEST(Replay, seeds_are_read) { EXPECT_GE(replay(BASEFOG_FUZZ_INPUTS "/seeds"), 5); }

TEST(Replay, hard_inputs_are_read_or_refused) { EXPECT_GE(replay(BASEFOG_FUZZ_INPUTS "/hard"), 5); }

}  // namespace
